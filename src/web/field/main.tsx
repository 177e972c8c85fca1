import { render } from 'preact';
import '../look/look.css';
import { restoreSession } from '../session/session.ts';
import { FieldPages } from './field-pages.tsx';

const place = document.getElementById('page');
if (place) render(<FieldPages />, place);
restoreSession().catch(() => undefined);
