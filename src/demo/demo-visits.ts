import type { Build } from '../../shared/contract/build.ts';
import { addDays } from '../../shared/units/calendar.ts';
import { type DemoBuild, listAll } from './demo-builds.ts';
import type { Clients } from './demo-people.ts';

/** Days after the handover on which the inspector comes for the first time. */
const FIRST_VISIT_DAYS = 14;

const FINDINGS = [
  {
    part: 'tap',
    severity: 'minor',
    description: 'The tap drips; the washer is worn.',
    action: 'Change the washer and show the household how.',
  },
  {
    part: 'overflow',
    severity: 'major',
    description: 'The insect screen of the overflow is torn.',
    action: 'Fit a new metal screen, aperture at most 1 mm.',
  },
  {
    part: 'wall',
    severity: 'danger',
    description: 'A crack along the lowest band weeps.',
    action:
      'Draw down to one third in a controlled way; the engineer comes before it is filled again.',
    measuredValue: 0.2,
    measuredUnit: 'mm',
  },
] as const;

/** Visits after building to the tanks handed over long enough ago; some find something. */
export async function recordDemoVisits(
  { inspector, supervisor }: Clients,
  builds: readonly DemoBuild[],
  today: string,
): Promise<void> {
  const programmeId = builds[0]?.programmeId;
  if (programmeId === undefined) return;
  const done = await listAll<Build>(
    inspector,
    `/builds?programmeId=${programmeId}&status=handed-over`,
  );
  let turn = 0;
  for (const build of done) {
    const inspectedOn = addDays(build.handedOverOn ?? today, FIRST_VISIT_DAYS);
    if (inspectedOn > today) continue;
    const found = turn++ % 3 === 1 ? [FINDINGS[turn % FINDINGS.length] ?? FINDINGS[0]] : [];
    const visit = await inspector.post<{ findings: { actions: { id: string }[] }[] }>(
      `/builds/${build.id}/inspections`,
      {
        kind: 'after-building',
        inspectedOn,
        condition: found.length > 0 ? 'needs-repair' : 'functional',
        waterDepthM: 0.9,
        sanitaryAnswers: {
          'roof-dirty': false,
          'gutters-dirty': turn % 4 === 0,
          'tap-faulty': found.length > 0,
        },
        findings: found.map(({ action, ...finding }) => ({
          ...finding,
          actions: [{ description: action, dueOn: addDays(inspectedOn, 10) }],
        })),
      },
    );
    const [first] = visit.findings.flatMap(({ actions }) => actions);
    if (first && turn % 2 === 0) {
      await supervisor.post(`/corrective-actions/${first.id}/closures`, {
        closedOn: today,
        closingNote: 'Done and looked at together with the household.',
      });
    }
  }
}
