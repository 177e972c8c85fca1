import { z } from 'zod';
import { job } from '../../../shared/contract/job.ts';
import {
  movedBuild,
  newPublication,
  newSeasonPlan,
  seasonPlan,
  seasonPlanFilters,
  seasonPlanStage,
  seasonPlanStageFilters,
  seasonPlanSummary,
} from '../../../shared/contract/season-plan.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import { CSV_TYPE, csvTable, XLSX_TYPE, xlsxTable } from '../../http/table-export.ts';
import { STAGE_COLUMNS } from './stage-columns.ts';
import type { SeasonPlans } from './use-cases.ts';

const tag = 'Season plans';

/** Season plans: who builds which stage where and when, with a day before which no plan can finish. */
export function seasonPlanRoutes(routes: Routes, plans: SeasonPlans): void {
  routes.route({
    method: 'POST',
    url: '/programmes/:id/season-plans',
    operationId: 'planSeason',
    tag,
    summary:
      'Plan the season, plan it again, or ask what if; the job names the plan when it is found',
    permission: 'builds:write',
    params: byId,
    body: newSeasonPlan,
    response: job,
    status: 202,
    async handle(tx, { params, body }) {
      const made = await plans.request(tx, params.id, body);
      return { body: made, location: `/v1/jobs/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/programmes/:id/season-plans',
    operationId: 'listSeasonPlans',
    tag,
    summary: 'List the season plans of a programme, the newest first',
    permission: 'builds:read',
    params: byId,
    query: z.strictObject({ ...pageQuery, ...seasonPlanFilters }),
    response: pageOf(seasonPlanSummary),
    async handle(tx, { params, query }) {
      return { body: await plans.list(tx, params.id, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/season-plans/:id',
    operationId: 'getSeasonPlan',
    tag,
    summary:
      'Read a season plan: finish, bound, gap, lateness, moves, loads, what differs from the plan before',
    permission: 'builds:read',
    params: byId,
    response: seasonPlan,
    async handle(tx, { params }) {
      return { body: await plans.get(tx, params.id) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/season-plans/:id/stages',
    operationId: 'listSeasonPlanStages',
    tag,
    summary:
      'List the stages of a plan by their day of start, each with what keeps it from starting sooner',
    permission: 'builds:read',
    params: byId,
    query: z.strictObject({ ...pageQuery, ...seasonPlanStageFilters }),
    response: pageOf(seasonPlanStage),
    async handle(tx, { params, query }) {
      return { body: await plans.listStages(tx, params.id, query) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/season-plans/:id/moved-builds',
    operationId: 'listMovedBuilds',
    tag,
    summary: 'List the builds whose dates or crews differ from the plan that this one is based on',
    permission: 'builds:read',
    params: byId,
    query: z.strictObject({
      ...pageQuery,
      sinceId: id.optional().meta({ description: 'Another plan to compare with' }),
    }),
    response: pageOf(movedBuild),
    async handle(tx, { params, query }) {
      return { body: await plans.movedBuilds(tx, params.id, query) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/season-plans/:id/publications',
    operationId: 'publishSeasonPlan',
    tag,
    summary: 'Publish a draft: the baseline from now on; builds that have not begun take its dates',
    permission: 'programmes:write',
    params: byId,
    body: newPublication,
    response: seasonPlan,
    status: 201,
    async handle(tx, { params, body }) {
      return { body: await plans.publish(tx, params.id, body.reason) };
    },
  });
  routes.route({
    method: 'POST',
    url: '/season-plans/:id/settings-aside',
    operationId: 'setSeasonPlanAside',
    tag,
    summary: 'Set a draft aside',
    permission: 'builds:write',
    params: byId,
    body: z.strictObject({}),
    response: seasonPlan,
    status: 201,
    async handle(tx, { params }) {
      return { body: await plans.setAside(tx, params.id) };
    },
  });
  routes.download({
    method: 'GET',
    url: '/season-plans/:id/stages.csv',
    operationId: 'downloadSeasonPlanCsv',
    tag,
    summary: 'The stages of a plan as CSV',
    permission: 'builds:read',
    params: byId,
    mediaTypes: [CSV_TYPE],
    async handle(tx, { params }) {
      const { code, stages } = await plans.stages(tx, params.id);
      return csvTable(`${code}.csv`, STAGE_COLUMNS, stages);
    },
  });
  routes.download({
    method: 'GET',
    url: '/season-plans/:id/stages.xlsx',
    operationId: 'downloadSeasonPlanXlsx',
    tag,
    summary: 'The stages of a plan as a workbook',
    permission: 'builds:read',
    params: byId,
    mediaTypes: [XLSX_TYPE],
    async handle(tx, { params }) {
      const { code, stages } = await plans.stages(tx, params.id);
      return xlsxTable(`${code}.xlsx`, code, STAGE_COLUMNS, stages);
    },
  });
}
