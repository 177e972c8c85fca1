import type { TankCheck } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { formatLitres, formatPercent } from '../language/format.ts';
import { Notice } from '../parts/notice.tsx';
import { formatReading } from './reading.ts';
import { say } from './say.ts';
import { Outcome } from './states.tsx';
import type { Engine } from './worked-design.ts';

interface FiguresProps {
  readonly engine: Engine;
  readonly input: TankDesignInput;
  readonly check: TankCheck;
}

/** Capacity and outcome, what makes an engineer look, and how far people must stay away. */
export function Figures({ engine, input, check }: FiguresProps) {
  const hazard = engine.burstHazard(input.insideDiameterM, input.waterDepthM);
  return (
    <>
      <dl class="facts panel" aria-live="polite">
        <div>
          <dt>{say('capacity')}</dt>
          <dd>{formatLitres(check.capacityL)}</dd>
        </div>
        <div>
          <dt>{say('checks')}</dt>
          <dd>
            <Outcome of={check.outcome} />
          </dd>
        </div>
        <div>
          <dt>{say('used')}</dt>
          <dd>{formatPercent(check.maxUtilisationRatio, 1)}</dd>
        </div>
        <div>
          <dt>{say('bamboo-credit')}</dt>
          <dd>{formatPercent(check.bambooHoopCreditRatio)}</dd>
        </div>
      </dl>
      {check.reviewTriggers.length > 0 ? (
        <Notice kind="caution" title={say('triggers')}>
          <ul lang="en">
            {check.reviewTriggers.map(({ id, reason }) => (
              <li key={id}>{reason}</li>
            ))}
          </ul>
        </Notice>
      ) : null}
      <Notice kind="caution" title={say('keep-clear')}>
        <p>
          {say('keep-clear-text', {
            distance: formatReading(hazard.keepClearM, 'm'),
            speed: formatReading(hazard.jetSpeedMPerS, 'm/s'),
          })}
        </p>
      </Notice>
    </>
  );
}
