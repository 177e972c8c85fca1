/** The largest tank that the engine takes fills the picture. */
const LARGEST_L = 22_000;

/** A cylinder whose volume is to the others' as the capacities are: edges go by the cube root. */
export function TankOutline({ capacityL }: { readonly capacityL: number }) {
  const size = Math.min(1, Math.cbrt(capacityL / LARGEST_L));
  const half = 30 * size;
  const height = 52 * size;
  const foot = 70;
  const rim = foot - height;
  const left = 34 - half;
  const right = 34 + half;
  const squash = half * 0.22;
  const rings = [0.25, 0.5, 0.75].map((part) => rim + height * part);
  return (
    <svg class="tank-outline" viewBox="0 0 68 80" aria-hidden="true">
      <path
        class="water"
        d={`M${left} ${rim}V${foot}A${half} ${squash} 0 0 0 ${right} ${foot}V${rim}A${half} ${squash} 0 0 1 ${left} ${rim}Z`}
      />
      <g class="tank-body">
        <path d={`M${left} ${rim}V${foot}A${half} ${squash} 0 0 0 ${right} ${foot}V${rim}`} />
        {rings.map((y) => (
          <path key={y} class="ring" d={`M${left} ${y}A${half} ${squash} 0 0 0 ${right} ${y}`} />
        ))}
        <path
          class="roof"
          d={`M${left} ${rim}Q34 ${rim - height * 0.35} ${right} ${rim}A${half} ${squash} 0 0 1 ${left} ${rim}Z`}
        />
      </g>
    </svg>
  );
}
