import { render } from 'preact';
import '../look/look.css';
import './field.css';
import { say as sayBuild } from '../build/say.ts';
import { language } from '../language/language.ts';
import { showLight } from '../look/light.ts';
import { say as sayPart } from '../parts/say.ts';
import { followLinks } from '../route/address.ts';
import { FieldPages } from './field-pages.tsx';
import { isFieldPath } from './field-paths.ts';
import { restoreOwner } from './kept/owner.ts';
import { restoreSeason } from './kept/season.ts';
import { keepSending } from './outbox/keep-sending.ts';
import { readOutbox } from './outbox/outbox.ts';
import { say } from './say.ts';
import { registerWorker } from './worker/register-worker.ts';

/** Shows what the phone holds first, and asks the service after that. */
async function open(): Promise<void> {
  showLight();
  document.documentElement.lang = language.value;
  await Promise.all([say.ready, sayPart.ready, sayBuild.ready, restoreSeason(), readOutbox()]);
  followLinks(isFieldPath);
  const restored = restoreOwner();
  const place = document.getElementById('page');
  if (place) render(<FieldPages />, place);
  await restored;
  keepSending();
  await registerWorker();
}

void open();
