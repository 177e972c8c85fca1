import { afterAll, beforeAll, describe, it } from 'vitest';
import {
  expectActionsDue,
  expectStagesInOrder,
  expectStockKept,
} from '../support/chain-field-checks.ts';
import {
  expectDonorSeesReportOnly,
  expectFiguresRecounted,
  expectFrozen,
  expectLedgerKept,
  expectMoneyOfEntries,
} from '../support/chain-money-checks.ts';
import {
  expectBillsAddUp,
  expectEachNeedOrderedOnce,
  expectEverySiteSized,
  expectListPutRight,
  expectOnlyApprovedBuilt,
} from '../support/chain-planning-checks.ts';
import { type Chain, runChain } from '../support/chain-run.ts';
import { CLOCK } from '../support/chain-season.ts';
import { startTestService, type TestService } from '../support/service.ts';

let service: TestService;
let chain: Chain;

beforeAll(async () => {
  service = await startTestService({ clock: CLOCK });
  chain = await runChain(service);
}, 300_000);
afterAll(() => service.close());

// The job runs once, over HTTP; each test looks at a part of what it answered and left in the tables.
describe('a season from a list of 500 sites to the reports of its donors', () => {
  it('names the three bad rows of the list and writes nothing until they are put right', () =>
    expectListPutRight(chain));
  it('gives every site the tank, or the reason for none, that a balance of its own finds', () =>
    expectEverySiteSized(chain));
  it('has designs approved by another than their author, and builds on nothing else', () =>
    expectOnlyApprovedBuilt(chain));
  it('bills the same to the last cent and unit by builds, villages, grants and the programme', () =>
    expectBillsAddUp(chain));
  it('orders every need once, as needs and rounding, for less than tank by tank', () =>
    expectEachNeedOrderedOnce(chain));
  it('receives and issues goods within orders and balances', () => expectStockKept(chain));
  it('takes stages in their order, holds what failed, and counts progress by cost', () =>
    expectStagesInOrder(chain));
  it('keeps the findings of a visit after building, with the actions due', () =>
    expectActionsDue(chain));
  it('splits and converts costs to the last cent and takes a mistake back', () =>
    expectLedgerKept(chain));
  it('shows in every figure the sum that the tables give, with the records behind it', () =>
    expectFiguresRecounted(chain));
  it('reports the money of the cost entries', () => expectMoneyOfEntries(chain));
  it('shows a donor the own report and nothing else', () => expectDonorSeesReportOnly(chain));
  it('keeps the same figures when records arrive later', () => expectFrozen(chain));
});
