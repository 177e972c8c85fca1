import { issueToken } from './issue-token.ts';
import { runWithService } from './with-service.ts';

const [email, organisationId] = process.argv.slice(2);
if (email === undefined) {
  process.stderr.write('Say for whom: npm run -s token -- EMAIL [ORGANISATION_ID]\n');
  process.exitCode = 2;
} else {
  await runWithService((db) => issueToken(db, email, organisationId));
}
