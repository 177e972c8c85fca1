import { useTitle } from '../parts/title.ts';
import { OfProgramme } from '../programme/of-programme.tsx';
import { may } from '../session/session.ts';
import './materials.css';
import { Needs } from './needs.tsx';
import { say } from './say.ts';
import { Stock } from './stock.tsx';
import { SupplyPlans } from './supply-plans.tsx';

/** What the season needs week by week, the plans to supply it, and what the stores hold. */
export function MaterialsPage() {
  useTitle(say('materials'));
  return (
    <OfProgramme title={() => say('materials')}>
      {({ id }) => (
        <>
          {may('orders:read') ? <Needs key={id} programmeId={id} /> : null}
          {may('orders:read') ? <SupplyPlans key={id} programmeId={id} /> : null}
          <Stock />
        </>
      )}
    </OfProgramme>
  );
}
