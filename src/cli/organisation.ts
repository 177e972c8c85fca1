import { makeOrganisation } from './make-organisation.ts';
import { runWithService } from './with-service.ts';

const [organisationName, email, personName] = process.argv.slice(2);
if (organisationName === undefined || email === undefined || personName === undefined) {
  process.stderr.write(
    'Say which: npm run -s organisation -- "NAME" ADMIN_EMAIL "ADMIN NAME"\n' +
      'Prints the token with which the administrator sets a password at POST /v1/invitation-acceptances.\n',
  );
  process.exitCode = 2;
} else {
  await runWithService((db) => makeOrganisation(db, { organisationName, email, personName }));
}
