import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { formatNumber } from '../language/format.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import {
  withBands,
  withCount,
  withDepth,
  withDiameter,
  withDomeRise,
  withLevel,
  withSpacing,
  withWall,
} from './changed-input.ts';
import { say } from './say.ts';
import { Slider } from './slider.tsx';
import type { Engine } from './worked-design.ts';

interface DimensionsProps {
  readonly engine: Engine;
  readonly input: TankDesignInput;
  readonly isChanged: boolean;
  readonly onInput: (input: TankDesignInput) => void;
  readonly onReset: () => void;
}

const SPACINGS = ['equal-load', 'even', 'given'] as const;
const MOST_BANDS = 40;

/** Sliders for what shapes the tank, and its ground. */
export function Dimensions({ engine, input, isChanged, onInput, onReset }: DimensionsProps) {
  const { bands, dome, slab } = input;
  const limits = engine.TANK_DESIGN_LIMITS;
  const count = bands.count ?? bands.levelsBelowWaterM?.length ?? 1;
  const change = (next: TankDesignInput) => onInput(next);
  return (
    <section class="panel no-print" aria-label={say('dimensions')}>
      <div class="row" data-ends="apart">
        <h2>{say('dimensions')}</h2>
        <Button disabled={!isChanged} onClick={onReset}>
          {say('reset')}
        </Button>
      </div>
      <p class="small soft">{say('dimensions-hint')}</p>
      <Slider
        label={say('diameter')}
        unit="m"
        step={0.01}
        limits={limits.insideDiameterM}
        value={input.insideDiameterM}
        onInput={(value) => change(withDiameter(input, value))}
      />
      <Slider
        label={say('depth')}
        unit="m"
        step={0.01}
        limits={limits.waterDepthM}
        value={input.waterDepthM}
        onInput={(value) => change(withDepth(input, value))}
      />
      <Slider
        label={say('wall')}
        unit="m"
        step={0.001}
        limits={limits.wallThicknessM}
        value={input.wallThicknessM}
        onInput={(value) => change(withWall(input, value))}
      />
      <Slider
        label={say('dome-rise')}
        unit="m"
        step={0.01}
        limits={limits['dome.riseM']}
        value={dome.riseM}
        onInput={(value) => change(withDomeRise(input, value))}
      />
      <Slider
        label={say('band-count')}
        unit=""
        step={1}
        limits={[1, MOST_BANDS]}
        value={count}
        onInput={(value) => change(withCount(input, value))}
      />
      <Slider
        label={say('band-width')}
        unit="mm"
        step={1}
        limits={limits['bands.widthMm']}
        value={bands.widthMm}
        onInput={(widthMm) => change(withBands(input, { widthMm }))}
      />
      <Slider
        label={say('band-thickness')}
        unit="mm"
        step={0.1}
        limits={limits['bands.thicknessMm']}
        value={bands.thicknessMm}
        onInput={(thicknessMm) => change(withBands(input, { thicknessMm }))}
      />
      <Field label={say('spacing')}>
        <select
          value={bands.spacing}
          onChange={(event) => {
            const spacing = SPACINGS.find((each) => each === event.currentTarget.value);
            if (spacing) change(withSpacing(engine, input, spacing));
          }}
        >
          {SPACINGS.map((spacing) => (
            <option key={spacing} value={spacing}>
              {say(`spacing-${spacing}`)}
            </option>
          ))}
        </select>
      </Field>
      {bands.levelsBelowWaterM?.map((levelM, index) => (
        <Slider
          key={index}
          label={say('level', { number: index + 1 })}
          unit="m"
          step={0.005}
          limits={[0, input.waterDepthM]}
          value={levelM}
          onInput={(value) => change(withLevel(input, index, value))}
        />
      ))}
      <Field label={say('soil')}>
        <select
          value={input.soilClass ?? 'unknown'}
          onChange={(event) => {
            const soilClass = engine.SOIL_CLASSES.find(
              (each) => each === event.currentTarget.value,
            );
            if (soilClass) change({ ...input, soilClass });
          }}
        >
          {engine.SOIL_CLASSES.map((soil) => (
            <option key={soil} value={soil} lang="en">
              {engine.SOILS[soil].title}
            </option>
          ))}
        </select>
      </Field>
      <p class="small soft">
        {say('slab-follows', { diameter: `${formatNumber(slab.diameterM, 3)}\u00a0m` })}
      </p>
    </section>
  );
}
