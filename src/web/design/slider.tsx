import { useId } from 'preact/hooks';

interface SliderProps {
  readonly label: string;
  readonly unit: string;
  readonly step: number;
  readonly limits: readonly [low: number, high: number];
  readonly value: number;
  readonly onInput: (value: number) => void;
}

/** A slider with a number beside it for exact values; both are the same control. */
export function Slider({ label, unit, step, limits: [low, high], value, onInput }: SliderProps) {
  const id = useId();
  const change = (text: string) => {
    const next = Number(text);
    if (text !== '' && Number.isFinite(next)) onInput(next);
  };
  return (
    <div class="slider">
      <label for={id}>{label}</label>
      <input
        type="range"
        aria-label={label}
        min={low}
        max={high}
        step={step}
        value={value}
        onInput={(event) => change(event.currentTarget.value)}
      />
      <span class="slider-number">
        <input
          id={id}
          type="number"
          inputMode="decimal"
          min={low}
          max={high}
          step="any"
          value={value}
          onInput={(event) => change(event.currentTarget.value)}
        />
        <span class="small soft">{unit}</span>
      </span>
    </div>
  );
}
