import type { Job } from '../../../shared/contract/job.ts';
import type {
  NewSupplyPlan,
  SupplyLineExplanation,
  SupplyPlan,
  SupplyPlanLine,
} from '../../../shared/contract/supply-plan.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { jobRecord } from '../../jobs/job-record.ts';
import { requestJob } from '../../jobs/request-job.ts';
import { findPlannedProgramme } from '../material-needs/stage-due-dates.ts';
import {
  allSupplyLines,
  findExplanation,
  findSupplyPlan,
  listSupplyLines,
  listSupplyPlans,
} from './repository.ts';

export interface SupplyPlans {
  /** Asks for an order plan of the season; the job's result names it. */
  request(tx: Tx, programmeId: string, settings: NewSupplyPlan): Promise<Job>;
  get(tx: Tx, id: string): Promise<SupplyPlan>;
  explanation(tx: Tx, planId: string, lineId: string): Promise<SupplyLineExplanation>;
  lines(tx: Tx, id: string): Promise<{ code: string; lines: SupplyPlanLine[] }>;
  readonly list: typeof listSupplyPlans;
  readonly listLines: typeof listSupplyLines;
}

export function createSupplyPlans(clock: Clock): SupplyPlans {
  async function get(tx: Tx, id: string): Promise<SupplyPlan> {
    const plan = await findSupplyPlan(tx, id);
    if (!plan) throw notFound('supply plan', id);
    return plan;
  }

  async function requireProgramme(tx: Tx, programmeId: string) {
    const programme = await findPlannedProgramme(tx, programmeId);
    if (!programme) throw notFound('programme', programmeId);
    return programme;
  }

  return {
    get,
    async request(tx, programmeId, settings) {
      const programme = await requireProgramme(tx, programmeId);
      refuseOtherCurrency(settings, programme.currency);
      if (settings.replansId !== undefined) {
        const earlier = await findSupplyPlan(tx, settings.replansId);
        if (earlier?.programmeId !== programmeId) {
          throw invalidContent([
            {
              pointer: '/replansId',
              code: 'reference.unknown',
              message: 'is not a supply plan of this programme',
              rejectedValue: settings.replansId,
            },
          ]);
        }
      }
      const running = await jobRecord.running(tx, 'supply-planning', { programmeId });
      if (running) {
        throw ruleBroken(
          'supply-planning-in-progress',
          `Job ${running} is planning the orders of this programme; wait for it or cancel it.`,
        );
      }
      // The day of the request, so that an attempt after midnight plans the same.
      return requestJob(tx, 'supply-planning', { programmeId, today: clock.today(), ...settings });
    },
    async explanation(tx, planId, lineId) {
      const found = await findExplanation(tx, planId, lineId);
      if (!found) throw notFound('line of the supply plan', lineId);
      return found;
    },
    async lines(tx, id) {
      const { code } = await get(tx, id);
      return { code, lines: await allSupplyLines(tx, id) };
    },
    async list(tx, programmeId, page) {
      await requireProgramme(tx, programmeId);
      return listSupplyPlans(tx, programmeId, page);
    },
    async listLines(tx, planId, page) {
      await get(tx, planId);
      return listSupplyLines(tx, planId, page);
    },
  };
}

function refuseOtherCurrency(settings: NewSupplyPlan, currency: string): void {
  const amounts = [
    ...(settings.cashLimits ?? []).map(
      (amount, index) => [`/cashLimits/${index}/currency`, amount] as const,
    ),
    ...(settings.changePenalty
      ? [['/changePenalty/currency', settings.changePenalty] as const]
      : []),
  ];
  const faults = amounts.flatMap(([pointer, amount]) =>
    amount.currency === currency
      ? []
      : [
          {
            pointer,
            code: 'currency.other',
            message: `must be the programme's currency, ${currency}`,
            rejectedValue: amount.currency,
          },
        ],
  );
  if (faults.length > 0) throw invalidContent(faults);
}
