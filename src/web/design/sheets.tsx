import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import { Button } from '../parts/button.tsx';
import { Scrolled } from '../parts/scrolled.tsx';
import { say } from './say.ts';
import type { SheetPicture } from './worked-design.ts';

/** The sheets of the drawing, one at a time; on paper all of them. */
export function Sheets({ pictures }: { readonly pictures: readonly SheetPicture[] }) {
  const chosen = useSignal(0);
  const id = useId();
  const index = Math.min(chosen.value, pictures.length - 1);
  return (
    <section class="stack" aria-labelledby={id}>
      <div class="row no-print" data-ends="apart">
        <h2 id={id}>{say('drawing')}</h2>
        <Button onClick={() => print()}>{say('print')}</Button>
      </div>
      <div class="row no-print sheet-choice">
        {pictures.map((picture, each) => (
          <Button
            key={picture.title}
            pressed={each === index}
            onClick={() => {
              chosen.value = each;
            }}
          >
            {each + 1}
            <span lang="en" class="sheet-name">
              {picture.title}
            </span>
          </Button>
        ))}
      </div>
      {pictures.map((picture, each) => (
        <figure key={picture.title} class="sheet-picture" data-shown={each === index}>
          <Scrolled label={picture.title}>
            <img src={picture.address} alt={say('drawing-alt', { title: picture.title })} />
          </Scrolled>
        </figure>
      ))}
    </section>
  );
}
