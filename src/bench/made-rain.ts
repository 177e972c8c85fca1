const DAYS_A_YEAR = 365;
const WET_FROM = 120;
const WET_DAYS = 190;

/** Made daily rain [mm] with one wet season a year. */
export function madeRainMm(years: number): number[] {
  let state = 7n;
  const draw = () => {
    state =
      (state * 6_364_136_223_846_793_005n + 1_442_695_040_888_963_407n) & 0xffff_ffff_ffff_ffffn;
    return Number(state >> 33n) / 2_147_483_648;
  };
  return Array.from({ length: years * DAYS_A_YEAR }, (_, day) => {
    const ofYear = day % DAYS_A_YEAR;
    const isWetSeason = ofYear >= WET_FROM && ofYear < WET_FROM + WET_DAYS;
    const isWetDay = draw() < (isWetSeason ? 0.4 : 0.03);
    return isWetDay ? Math.round(-100 * Math.log(1 - draw())) / 10 : 0;
  });
}
