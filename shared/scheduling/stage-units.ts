import type { SeasonStage } from './build-season.ts';

/**
 * Stages that are placed together, each list in the order of the relations: stages that a greatest
 * wait binds, with all between them. The lists follow each other without a circle.
 *
 * @param stages of one template
 * @param isPlanned by stage: neither done nor begun; others are left out
 * @returns places of stages
 * @source serial-generation
 */
export function stageUnits(
  stages: readonly SeasonStage[],
  isPlanned: readonly boolean[],
): number[][] {
  const count = stages.length;
  const at = new Map(stages.map(({ code }, place) => [code, place]));
  const links = stages.flatMap(({ after }, to) =>
    after.flatMap(({ stageCode, maximumWaitDays }) => {
      const from = at.get(stageCode) ?? -1;
      const isOpen = isPlanned[from] === true && isPlanned[to] === true;
      return isOpen ? [{ from, to, isBound: maximumWaitDays !== null }] : [];
    }),
  );
  const unitOf = stages.map((_, place) => place);
  const merge = (one: number, other: number): void => {
    const [kept, gone] = [unitOf[one] as number, unitOf[other] as number];
    for (let place = 0; place < count; place += 1) {
      if (unitOf[place] === gone) unitOf[place] = kept;
    }
  };
  for (const { from, to, isBound } of links) if (isBound) merge(from, to);
  let reach = reachable(links, unitOf);
  for (let isStable = links.every(({ isBound }) => !isBound); !isStable; ) {
    isStable = true;
    for (let one = 0; one < count; one += 1) {
      for (let other = 0; other < one; other += 1) {
        const [a, b] = [unitOf[one] as number, unitOf[other] as number];
        if (a === b || !reach[a]?.[b] || !reach[b]?.[a]) continue;
        merge(one, other);
        isStable = false;
      }
    }
    reach = reachable(links, unitOf);
  }
  return inOrder(links, unitOf, isPlanned);
}

interface Link {
  readonly from: number;
  readonly to: number;
}

function reachable(links: readonly Link[], unitOf: readonly number[]): boolean[][] {
  const reach = unitOf.map(() => unitOf.map(() => false));
  for (const { from, to } of links) {
    const row = reach[unitOf[from] as number];
    if (row !== undefined && unitOf[from] !== unitOf[to]) row[unitOf[to] as number] = true;
  }
  for (let via = 0; via < reach.length; via += 1) {
    const next = reach[via] as boolean[];
    for (const row of reach) {
      if (!row[via]) continue;
      for (let to = 0; to < row.length; to += 1) if (next[to]) row[to] = true;
    }
  }
  return reach;
}

function inOrder(
  links: readonly Link[],
  unitOf: readonly number[],
  isPlanned: readonly boolean[],
): number[][] {
  const units: number[][] = [];
  const isPlaced = isPlanned.map((planned) => !planned);
  const places = (unit: number) =>
    unitOf.flatMap((of, place) => (of === unit && isPlanned[place] ? [place] : []));
  for (let left = unitOf.filter((_, place) => isPlanned[place]); left.length > 0; ) {
    const before = units.length;
    for (const unit of new Set(left)) {
      const own = places(unit);
      const isReady = links.every(
        ({ from, to }) => !own.includes(to) || own.includes(from) || isPlaced[from] === true,
      );
      if (!isReady) continue;
      units.push(stagesInOrder(links, own));
      for (const place of own) isPlaced[place] = true;
      left = left.filter((of) => of !== unit);
    }
    if (units.length === before)
      throw new Error('stages of a template follow each other in a circle');
  }
  return units;
}

function stagesInOrder(links: readonly Link[], own: readonly number[]): number[] {
  const sorted: number[] = [];
  for (let left = own.slice(); left.length > 0; ) {
    const next = left.find((place) =>
      links.every(({ from, to }) => to !== place || !left.includes(from)),
    );
    if (next === undefined) throw new Error('stages of a template follow each other in a circle');
    sorted.push(next);
    left = left.filter((place) => place !== next);
  }
  return sorted;
}
