import type { TankCheck } from '../../../shared/design/check-tank.ts';
import { Notice } from '../parts/notice.tsx';
import { say } from './say.ts';

/** What can hurt people, in the engine's own words. */
export function Cautions({ check }: { readonly check: TankCheck }) {
  return (
    <Notice kind="caution" title={say('cautions')}>
      <ul lang="en">
        {check.cautions.map(({ id, text }) => (
          <li key={id}>{text}</li>
        ))}
      </ul>
      <p lang="en">
        <strong>{check.standingSentence}</strong>
      </p>
    </Notice>
  );
}
