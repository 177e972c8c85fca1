import type { FastifyInstance } from 'fastify';
import { accessRoutes, createAccess } from './access.ts';
import type { Database } from './db/database.ts';
import type { Clock } from './domain/clock.ts';
import { tenantRoutes } from './http/route.ts';
import type { SessionCookie } from './http/session-cookie.ts';
import { attachmentStore } from './modules/attachments/repository.ts';
import { attachmentRoutes } from './modules/attachments/routes.ts';
import { createAttachments } from './modules/attachments/use-cases.ts';
import { billRoutes } from './modules/bills/routes.ts';
import { createBills } from './modules/bills/use-cases.ts';
import { budgetLineStore } from './modules/budget-lines/repository.ts';
import { budgetLineRoutes } from './modules/budget-lines/routes.ts';
import { createBudgetLines } from './modules/budget-lines/use-cases.ts';
import { buildRoutes } from './modules/builds/routes.ts';
import { createBuilds } from './modules/builds/use-cases.ts';
import { calculationRoutes } from './modules/calculations/routes.ts';
import { calculations } from './modules/calculations/use-cases.ts';
import { costEntryRoutes } from './modules/cost-entries/routes.ts';
import { createCostEntries } from './modules/cost-entries/use-cases.ts';
import { crewStore } from './modules/crews/repository.ts';
import { crewRoutes } from './modules/crews/routes.ts';
import { deliveryOfferStore } from './modules/delivery-offers/repository.ts';
import { deliveryOfferRoutes } from './modules/delivery-offers/routes.ts';
import { createDeliveryOffers } from './modules/delivery-offers/use-cases.ts';
import { createDesigns } from './modules/designs/create-designs.ts';
import { revisionsForBuilding } from './modules/designs/revisions-for-building.ts';
import { designRoutes } from './modules/designs/routes.ts';
import { donorStore } from './modules/donors/repository.ts';
import { donorRoutes } from './modules/donors/routes.ts';
import { exchangeRateStore } from './modules/exchange-rates/repository.ts';
import { exchangeRateRoutes } from './modules/exchange-rates/routes.ts';
import { grantStore } from './modules/grants/repository.ts';
import { grantRoutes } from './modules/grants/routes.ts';
import { createGrants, requireBudgetWithin } from './modules/grants/use-cases.ts';
import { inspectionRoutes } from './modules/inspections/routes.ts';
import { createInspections } from './modules/inspections/use-cases.ts';
import { jobRoutes } from './modules/jobs/routes.ts';
import { createJobs } from './modules/jobs/use-cases.ts';
import { createNeedLines } from './modules/material-needs/need-lines.ts';
import { materialNeedRoutes } from './modules/material-needs/routes.ts';
import { createMaterialNeeds } from './modules/material-needs/use-cases.ts';
import { materialStore } from './modules/materials/repository.ts';
import { materialRoutes } from './modules/materials/routes.ts';
import { createMaterials } from './modules/materials/use-cases.ts';
import { offerStore } from './modules/offers/repository.ts';
import { offerRoutes } from './modules/offers/routes.ts';
import { createOffers } from './modules/offers/use-cases.ts';
import { orderPlanRoutes } from './modules/order-plans/routes.ts';
import { createOrderPlans } from './modules/order-plans/use-cases.ts';
import { listOrdersOfPlan } from './modules/orders/repository.ts';
import { orderRoutes } from './modules/orders/routes.ts';
import { createOrders } from './modules/orders/use-cases.ts';
import { programmeStore, replaceStandardDesigns } from './modules/programmes/repository.ts';
import { programmeRoutes } from './modules/programmes/routes.ts';
import { createProgrammes } from './modules/programmes/use-cases.ts';
import { rainSeriesStore, rainStationStore } from './modules/rain/repository.ts';
import { rainRoutes } from './modules/rain/routes.ts';
import { createRain } from './modules/rain/use-cases.ts';
import { reportRoutes } from './modules/reports/routes.ts';
import { createReports } from './modules/reports/use-cases.ts';
import { siteImportRoutes } from './modules/site-imports/routes.ts';
import { createSiteImports } from './modules/site-imports/use-cases.ts';
import { contactStore } from './modules/sites/contact-repository.ts';
import { siteStore } from './modules/sites/repository.ts';
import { siteRoutes } from './modules/sites/routes.ts';
import { createSites } from './modules/sites/use-cases.ts';
import { sizingRoutes } from './modules/sizings/routes.ts';
import { createSizings } from './modules/sizings/use-cases.ts';
import { stageRoutes } from './modules/stages/routes.ts';
import { createStages } from './modules/stages/use-cases.ts';
import { stockRoutes } from './modules/stock/routes.ts';
import { createStock } from './modules/stock/use-cases.ts';
import { stockLotRoutes } from './modules/stock-lots/routes.ts';
import { createStockLots } from './modules/stock-lots/use-cases.ts';
import { storeStore } from './modules/stores/repository.ts';
import { storeRoutes } from './modules/stores/routes.ts';
import { createStores } from './modules/stores/use-cases.ts';
import { supplierStore } from './modules/suppliers/repository.ts';
import { supplierRoutes } from './modules/suppliers/routes.ts';
import { tankKindStore } from './modules/tank-kinds/repository.ts';
import { tankKindRoutes } from './modules/tank-kinds/routes.ts';
import { createTankKinds } from './modules/tank-kinds/use-cases.ts';
import { villageStore } from './modules/villages/repository.ts';
import { villageRoutes } from './modules/villages/routes.ts';
import { createVillages } from './modules/villages/use-cases.ts';

export interface SliceParts {
  readonly db: Database;
  readonly clock: Clock;
  readonly cookie: SessionCookie;
}

/** Every slice with what it needs from the others: the map of the service, wired by hand. */
export function serveSlices(v1: FastifyInstance, { db, clock, cookie }: SliceParts): void {
  const routes = tenantRoutes(v1, db);
  accessRoutes(v1, routes, createAccess(db, clock), cookie);
  programmeRoutes(routes, createProgrammes(programmeStore));
  jobRoutes(routes, createJobs());
  tankKindRoutes(routes, createTankKinds(tankKindStore));
  designRoutes(
    routes,
    createDesigns({ programme: programmeStore.get, replace: replaceStandardDesigns }),
  );
  sizingRoutes(routes, createSizings());
  buildRoutes(routes, createBuilds(clock, revisionsForBuilding));
  billRoutes(routes, createBills());
  donorRoutes(routes, donorStore);
  grantRoutes(routes, createGrants(grantStore));
  budgetLineRoutes(
    routes,
    createBudgetLines(budgetLineStore, { lock: grantStore.lock, requireBudgetWithin }),
  );
  exchangeRateRoutes(routes, exchangeRateStore);
  storeRoutes(routes, createStores(storeStore));
  villageRoutes(routes, createVillages(villageStore));
  supplierRoutes(routes, supplierStore);
  materialRoutes(routes, createMaterials(materialStore));
  offerRoutes(routes, createOffers(offerStore, clock));
  deliveryOfferRoutes(routes, createDeliveryOffers(deliveryOfferStore, clock));
  crewRoutes(routes, crewStore);
  rainRoutes(routes, createRain(rainStationStore, rainSeriesStore));
  siteRoutes(routes, createSites(siteStore, contactStore, clock));
  siteImportRoutes(routes, createSiteImports(clock));
  attachmentRoutes(routes, createAttachments(attachmentStore, clock));
  const needs = createMaterialNeeds(clock);
  materialNeedRoutes(routes, needs, createNeedLines(needs, clock));
  orderPlanRoutes(routes, createOrderPlans(listOrdersOfPlan));
  orderRoutes(routes, createOrders(clock));
  stockRoutes(routes, createStock({ clock }));
  stockLotRoutes(routes, createStockLots(clock));
  const stages = createStages(clock);
  stageRoutes(routes, stages);
  reportRoutes(routes, createReports(clock, stages.standingsOn));
  inspectionRoutes(routes, createInspections(clock));
  costEntryRoutes(routes, createCostEntries(clock));
  calculationRoutes(v1, calculations);
}
