import {
  budgetLine,
  budgetLineFilters,
  budgetLinePatch,
  newBudgetLine,
} from '../../../shared/contract/budget-line.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { BudgetLines } from './use-cases.ts';

/** Budget lines: how a grant is divided; together never above the grant. */
export function budgetLineRoutes(routes: Routes, budgetLines: BudgetLines): void {
  documentRoutes(routes, {
    path: '/budget-lines',
    names: ['BudgetLine', 'BudgetLines'],
    tag: 'Grants',
    read: 'money:read',
    write: 'money:write',
    item: budgetLine,
    create: newBudgetLine,
    patch: budgetLinePatch,
    filters: budgetLineFilters,
    ...budgetLines,
  });
}
