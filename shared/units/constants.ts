/** Unit weight of water used throughout, 1000 kg/m³ × 9.81 m/s². */
export const WATER_UNIT_WEIGHT_N_PER_M3 = 9810;

/** Standard gravity as rounded by the codes this engine follows. */
export const GRAVITY_M_PER_S2 = 9.81;

export const WATER_DENSITY_KG_PER_M3 = 1000;
