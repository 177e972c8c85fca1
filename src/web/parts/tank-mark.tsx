import type { BuildStatus } from '../../../shared/contract/build.ts';

/** Of the cylinder in the drawing's own units: its edges, its foot and its rim. */
const LEFT = 4;
const RIGHT = 32;
const FOOT = 43;
const RIM = 15;
const HALF = (RIGHT - LEFT) / 2;
const SQUASH = 3;

const arc = (y: number, isFront: boolean) =>
  `A${HALF} ${SQUASH} 0 0 ${isFront ? 0 : 1} ${RIGHT} ${y}`;
const ring = (y: number) => `M${LEFT} ${y}${arc(y, true)}`;
const WALL = `M${LEFT} ${RIM}V${FOOT}${arc(FOOT, true)}V${RIM}`;
const OPEN_TOP = `M${LEFT} ${RIM}${arc(RIM, true)}M${LEFT} ${RIM}${arc(RIM, false)}`;
const DOME = `M${LEFT} ${RIM}C${LEFT + 5} 4 ${RIGHT - 5} 4 ${RIGHT} ${RIM}${`A${HALF} ${SQUASH} 0 0 1 ${LEFT} ${RIM}`}Z`;
const RINGS = [22, 29, 36].map(ring).join('');
const CROSS = `M${LEFT} ${RIM}L${RIGHT} ${FOOT}M${RIGHT} ${RIM}L${LEFT} ${FOOT}`;
const TAP = `M${RIGHT} 38h3v4`;

/**
 * The shapes that every tank mark of a page refers to; put it once on a page that shows marks.
 * Planned: dashes; started: open top; on hold: a flag and a hatched wall; complete: a roof; handed
 * over: a dark roof and a tap; cancelled: crossed out.
 */
export function TankShapes() {
  return (
    <svg class="unseen" aria-hidden="true">
      <symbol id="tank-planned" viewBox="0 0 36 48">
        <g class="tank-body">
          <path class="dashes" d={WALL + OPEN_TOP} />
        </g>
      </symbol>
      <symbol id="tank-started" viewBox="0 0 36 48">
        <g class="tank-body">
          <path d={WALL + OPEN_TOP} />
          <path class="ring" d={RINGS} />
        </g>
      </symbol>
      <symbol id="tank-on-hold" viewBox="0 0 36 48">
        <g class="tank-body">
          <path d="M4 24l10-9M4 34L24 16M7 43L32 21M19 45L32 32" />
          <path class="heavy" d={WALL + OPEN_TOP} />
          <path class="flag" d="M18 15V1l13 5-13 5" />
        </g>
      </symbol>
      <symbol id="tank-complete" viewBox="0 0 36 48">
        <g class="tank-body">
          <path d={WALL} />
          <path class="ring" d={RINGS} />
          <path class="roof" d={DOME} />
        </g>
      </symbol>
      <symbol id="tank-handed-over" viewBox="0 0 36 48">
        <g class="tank-body">
          <path d={WALL} />
          <path class="ring" d={RINGS} />
          <path class="dark" d={DOME} />
          <path class="heavy" d={TAP} />
        </g>
      </symbol>
      <symbol id="tank-cancelled" viewBox="0 0 36 48">
        <g class="tank-body">
          <path class="dots" d={WALL + OPEN_TOP + CROSS} />
        </g>
      </symbol>
    </svg>
  );
}

interface TankMarkProps {
  readonly status: BuildStatus;
  readonly completeRatio: number;
}

/** One tank, filled as high as its build is complete. Its words stand beside it, or in its link. */
export function TankMark({ status, completeRatio }: TankMarkProps) {
  const level = FOOT - (FOOT - RIM) * completeRatio;
  return (
    <svg class="tank-mark" viewBox="0 0 36 48" aria-hidden="true">
      {completeRatio > 0 ? (
        <path
          class="water"
          d={`M${LEFT} ${level}${arc(level, true)}V${FOOT}A${HALF} ${SQUASH} 0 0 1 ${LEFT} ${FOOT}Z`}
        />
      ) : null}
      <use href={`#tank-${status}`} />
    </svg>
  );
}
