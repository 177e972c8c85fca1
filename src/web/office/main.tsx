import { render } from 'preact';
import '../look/look.css';
import './office.css';
import { language } from '../language/language.ts';
import { showLight } from '../look/light.ts';
import { say as partsSay } from '../parts/say.ts';
import { followLinks } from '../route/address.ts';
import { restoreSession } from '../session/session.ts';
import { isOfficePath, Office } from './office.tsx';
import { say } from './say.ts';

showLight();
document.documentElement.lang = language.value;
followLinks(isOfficePath);

const place = document.getElementById('page');
await Promise.all([say.ready, partsSay.ready]);
const session = restoreSession();
if (place) render(<Office session={session} />, place);
