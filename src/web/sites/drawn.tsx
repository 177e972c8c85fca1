import { useEffect, useRef } from 'preact/hooks';

interface DrawnProps {
  readonly label: string;
  /** Draws into a free element; called again whenever `key` of the parent changes. */
  readonly draw: (widthPx: number) => Element;
}

/** A chart as wide as its place; drawn anew when the place changes its width. */
export function Drawn({ label, draw }: DrawnProps) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const element = place.current;
    if (!element) return;
    const redraw = () => {
      const chart = draw(Math.max(280, element.clientWidth));
      // The library brings a style element, which the content security policy forbids; ours has it.
      for (const style of chart.querySelectorAll('style')) style.remove();
      // The whole has one name; its parts may not have their own.
      for (const part of chart.querySelectorAll('[aria-label]')) part.removeAttribute('aria-label');
      element.replaceChildren(chart);
    };
    redraw();
    const observer = new ResizeObserver(redraw);
    observer.observe(element);
    return () => observer.disconnect();
  }, [draw]);
  return <div class="chart" role="img" aria-label={label} ref={place} />;
}
