import { z } from 'zod';
import { code, documentFields, id, name, notNegativeMoney } from './values.ts';

const fields = {
  grantId: id,
  code,
  title: name,
  amount: notNegativeMoney.meta({ description: 'In the currency of the grant' }),
};

export const budgetLine = z.object({ ...documentFields, ...fields }).meta({ id: 'BudgetLine' });
export const newBudgetLine = z.strictObject({ id: id.optional(), ...fields });
export const budgetLinePatch = z.strictObject(fields).omit({ grantId: true }).partial();

export const budgetLineFilters = { grantId: id.optional() };

export type BudgetLine = z.infer<typeof budgetLine>;
export type NewBudgetLine = z.infer<typeof newBudgetLine>;
export type BudgetLinePatch = z.infer<typeof budgetLinePatch>;
