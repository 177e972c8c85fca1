import type { Attachment } from '../../../shared/contract/attachment.ts';
import type { Bill, BuildBill } from '../../../shared/contract/bill.ts';
import type { Build } from '../../../shared/contract/build.ts';
import type { Crew } from '../../../shared/contract/crew.ts';
import type {
  DesignRevision,
  DesignRevisionSummary,
} from '../../../shared/contract/design-revision.ts';
import type { Grant } from '../../../shared/contract/grant.ts';
import type { CorrectiveAction, Inspection } from '../../../shared/contract/inspection.ts';
import type { Job } from '../../../shared/contract/job.ts';
import type { MaterialNeed } from '../../../shared/contract/material-needs.ts';
import type { Person } from '../../../shared/contract/person.ts';
import type { Programme } from '../../../shared/contract/programme.ts';
import type { RainSeries, RainStation } from '../../../shared/contract/rain.ts';
import type { Report, ReportSummary } from '../../../shared/contract/report.ts';
import type { SignedIn } from '../../../shared/contract/session.ts';
import type { Site } from '../../../shared/contract/site.ts';
import type { SiteImport } from '../../../shared/contract/site-import.ts';
import type { SiteSizing, SiteSizingSummary } from '../../../shared/contract/site-sizing.ts';
import type { BuildProgress, StageRecord } from '../../../shared/contract/stage-record.ts';
import type { StockBalance } from '../../../shared/contract/stock.ts';
import type { Store } from '../../../shared/contract/store.ts';
import type {
  SupplyPlan,
  SupplyPlanLine,
  SupplyPlanSummary,
} from '../../../shared/contract/supply-plan.ts';
import type { TankDesign } from '../../../shared/contract/tank-design.ts';
import type { TankKind } from '../../../shared/contract/tank-kind.ts';
import type { Village } from '../../../shared/contract/village.ts';

/** One page of a list. */
export interface Page<Item> {
  readonly items: readonly Item[];
  readonly nextCursor: string | null;
}

/** What each record that the pages read answers, by its address below /v1. */
export interface Records {
  '/sessions/current': SignedIn;
  '/programmes/:id': Programme;
  '/builds/:id': Build;
  '/builds/:id/bill': BuildBill;
  '/builds/:id/progress': BuildProgress;
  '/bills': Bill;
  '/sites/:id': Site;
  '/site-imports/:id': SiteImport;
  '/site-sizings/summary': SiteSizingSummary;
  '/villages/:id': Village;
  '/tank-designs/:id': TankDesign;
  '/design-revisions/:id': DesignRevision;
  '/tank-kinds/:id': TankKind;
  '/rain-series/:id': RainSeries;
  '/jobs/:id': Job;
  '/reports/:id': Report;
  '/supply-plans/:id': SupplyPlan;
}

/** What an item of each list is, by the list's address below /v1. */
export interface Lists {
  '/programmes': Programme;
  '/builds': Build;
  '/builds/:id/stage-records': StageRecord;
  '/villages': Village;
  '/crews': Crew;
  '/sites': Site;
  '/site-sizings': SiteSizing;
  '/tank-designs': TankDesign;
  '/design-revisions': DesignRevisionSummary;
  '/tank-kinds': TankKind;
  '/attachments': Attachment;
  '/inspections': Inspection;
  '/corrective-actions': CorrectiveAction;
  '/grants': Grant;
  '/stores': Store;
  '/people': Person;
  '/rain-stations': RainStation;
  '/reports': ReportSummary;
  '/jobs': Job;
  '/programmes/:id/material-needs': MaterialNeed;
  '/programmes/:id/supply-plans': SupplyPlanSummary;
  '/supply-plans/:id/lines': SupplyPlanLine;
  '/stock-balances': StockBalance;
}
