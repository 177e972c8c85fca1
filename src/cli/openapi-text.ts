import { buildApp } from '../app.ts';
import { openDatabase } from '../db/database.ts';

/** Nothing connects there: the document comes from the declared routes alone. */
const NOWHERE = 'postgresql://nobody@127.0.0.1:1/nothing';

/** The OpenAPI document of the service as it is kept in the repository. */
export async function openApiText(): Promise<string> {
  const db = openDatabase({ url: NOWHERE });
  const app = await buildApp({ db, limitsRates: false });
  try {
    await app.ready();
    return `${JSON.stringify(app.swagger(), null, 2)}\n`;
  } finally {
    await app.close();
    await db.close();
  }
}
