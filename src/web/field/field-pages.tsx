import type { ComponentType } from 'preact';
import { TankShapes } from '../parts/tank-mark.tsx';
import { path } from '../route/address.ts';
import { matched, type PageProps } from '../route/pages.tsx';
import { FieldBar } from './field-bar.tsx';
import { isShutOut, owner } from './kept/owner.ts';
import { BuildPage } from './pages/build-page.tsx';
import { InspectionPage } from './pages/inspection-page.tsx';
import { OutboxPage } from './pages/outbox-page.tsx';
import { PhonePage } from './pages/phone-page.tsx';
import { SignIn } from './pages/sign-in.tsx';
import { StagePage } from './pages/stage-page.tsx';
import { StorePage } from './pages/store-page.tsx';
import { WorkPage } from './pages/work-page.tsx';
import { Standing } from './standing.tsx';

const PAGES: readonly (readonly [string, ComponentType<PageProps>])[] = [
  ['/field', WorkPage],
  ['/field/builds/:id', BuildPage],
  ['/field/builds/:id/stages/:stage', StagePage],
  ['/field/builds/:id/inspection', InspectionPage],
  ['/field/store', StorePage],
  ['/field/outbox', OutboxPage],
  ['/field/phone', PhonePage],
];

/** The phone's pages: all of them at hand from the first visit on, with or without a network. */
export function FieldPages() {
  if (owner.value === null) {
    return (
      <main class="field-sheet">
        <SignIn />
      </main>
    );
  }
  const here = path.value;
  const found = PAGES.map(([pattern, Page]) => ({ Page, params: matched(pattern, here) })).find(
    ({ params }) => params !== null,
  );
  const Page = found?.Page ?? WorkPage;
  return (
    <>
      <TankShapes />
      <Standing />
      <main class="field-sheet" id="content" tabIndex={-1}>
        {isShutOut.value && here !== '/field/phone' ? <SignIn /> : null}
        <Page key={here} params={found?.params ?? {}} />
      </main>
      <FieldBar />
    </>
  );
}
