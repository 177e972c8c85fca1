import type { Page } from '../route/pages.tsx';

/** Pages of the office, each with the permission that it needs to be of use. */
export const PAGES: readonly Page[] = [
  {
    pattern: '/season',
    permission: 'builds:read',
    async load() {
      const { SeasonPage } = await import('../season/season-page.tsx');
      const { say } = await import('../season/say.ts');
      const { say: sayProgramme } = await import('../programme/say.ts');
      await Promise.all([say.ready, sayProgramme.ready]);
      return SeasonPage;
    },
  },
  {
    pattern: '/builds/:id',
    permission: 'builds:read',
    async load() {
      const { BuildPage } = await import('../build/build-page.tsx');
      const { say } = await import('../build/say.ts');
      const { say: saySeason } = await import('../season/say.ts');
      await Promise.all([say.ready, saySeason.ready]);
      return BuildPage;
    },
  },
  {
    pattern: '/sites',
    permission: 'sites:read',
    async load() {
      const { SitesPage } = await import('../sites/sites-page.tsx');
      const { say } = await import('../sites/say.ts');
      const { say: sayProgramme } = await import('../programme/say.ts');
      await Promise.all([say.ready, sayProgramme.ready]);
      return SitesPage;
    },
  },
  {
    pattern: '/sites/import',
    permission: 'sites:write',
    async load() {
      const { ImportPage } = await import('../sites/import-page.tsx');
      const { say } = await import('../sites/say.ts');
      const { say: sayProgramme } = await import('../programme/say.ts');
      await Promise.all([say.ready, sayProgramme.ready]);
      return ImportPage;
    },
  },
  {
    pattern: '/sites/:id',
    permission: 'sites:read',
    async load() {
      const { SitePage } = await import('../sites/site-page.tsx');
      const { say } = await import('../sites/say.ts');
      const { say: sayProgramme } = await import('../programme/say.ts');
      await Promise.all([say.ready, sayProgramme.ready]);
      return SitePage;
    },
  },
  {
    pattern: '/designs',
    permission: 'designs:read',
    async load() {
      const { DesignsPage } = await import('../design/designs-page.tsx');
      const { say } = await import('../design/say.ts');
      await say.ready;
      return DesignsPage;
    },
  },
  {
    pattern: '/designs/:id',
    permission: 'designs:read',
    async load() {
      const { RevisionPage } = await import('../design/revision-page.tsx');
      const { say } = await import('../design/say.ts');
      await say.ready;
      return RevisionPage;
    },
  },
  {
    pattern: '/materials',
    permission: 'stock:read',
    async load() {
      const { MaterialsPage } = await import('../materials/materials-page.tsx');
      const { say } = await import('../materials/say.ts');
      const { say: sayProgramme } = await import('../programme/say.ts');
      await Promise.all([say.ready, sayProgramme.ready]);
      return MaterialsPage;
    },
  },
  {
    pattern: '/materials/plans/:id',
    permission: 'orders:read',
    async load() {
      const { PlanPage } = await import('../materials/plan-page.tsx');
      const { say } = await import('../materials/say.ts');
      const { say: sayProgramme } = await import('../programme/say.ts');
      await Promise.all([say.ready, sayProgramme.ready]);
      return PlanPage;
    },
  },
  {
    pattern: '/reports',
    permission: 'reports:read',
    async load() {
      const { ReportsPage } = await import('../reports/reports-page.tsx');
      const { say } = await import('../reports/say.ts');
      await say.ready;
      return ReportsPage;
    },
  },
  {
    pattern: '/reports/:id',
    permission: 'reports:read',
    async load() {
      const { ReportPage } = await import('../reports/report-page.tsx');
      const { say } = await import('../reports/say.ts');
      await say.ready;
      return ReportPage;
    },
  },
];
