import { useSignal } from '@preact/signals';
import { Button } from '../parts/button.tsx';
import { path } from '../route/address.ts';
import { may, signOut, who } from '../session/session.ts';
import { Brand } from './brand.tsx';
import { LanguageAndLight } from './language-and-light.tsx';
import { say } from './say.ts';

const LINKS = [
  { path: '/season', name: 'season', permission: 'builds:read' },
  { path: '/sites', name: 'sites', permission: 'sites:read' },
  { path: '/designs', name: 'designs', permission: 'designs:read' },
  { path: '/materials', name: 'materials', permission: 'stock:read' },
  { path: '/reports', name: 'reports', permission: 'reports:read' },
] as const;

/** Name, pages by role, language, light and signing out; on a phone behind one button. */
export function Masthead() {
  const isOpen = useSignal(false);
  const links = LINKS.filter(({ permission }) => may(permission));
  const here = path.value;
  return (
    <header class="masthead" data-open={isOpen.value}>
      <a class="skip" href="#content">
        {say('skip')}
      </a>
      <Brand />
      <div class="menu-button">
        <Button
          kind="plain"
          expanded={isOpen.value}
          controls="menu"
          onClick={() => {
            isOpen.value = !isOpen.value;
          }}
        >
          {say('menu')}
        </Button>
      </div>
      <div class="menu" id="menu">
        <nav aria-label={say('menu')}>
          {links.map(({ path: target, name }) => (
            <a
              key={name}
              href={target}
              aria-current={here.startsWith(target) ? 'page' : undefined}
              onClick={() => {
                isOpen.value = false;
              }}
            >
              {say(name)}
            </a>
          ))}
          {may('stages:write') || may('stock:write') ? <a href="/field">{say('field')}</a> : null}
        </nav>
        <LanguageAndLight />
        <div class="row">
          <span class="small">{who.value?.person.name}</span>
          <Button onClick={() => void signOut().catch(() => location.reload())}>
            {say('sign-out')}
          </Button>
        </div>
      </div>
    </header>
  );
}
