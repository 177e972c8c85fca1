import { type AssignmentRule, assignedBuilds } from './build-assignment.ts';
import { buildDispatch, type DispatchRule } from './build-dispatch.ts';
import { buildDraft, type CrewCluster } from './build-generator.ts';
import { isBetter } from './build-objective.ts';
import type { ClusterScore } from './build-score.ts';
import { type BuildSearch, copied, type SearchState } from './build-search.ts';
import { type CompiledSeason, NO_DAY } from './compiled-season.ts';
import { crewDays } from './crew-days.ts';
import type { SeededRandom } from './seeded-random.ts';

/** Dispatches by other rules, of all clusters together and of each. Ours, from trials. */
const RULES = { all: 1_500, least: 20, most: 250 } as const;
/** Share of them drawn anew; the others lie near the best. */
const FRESH_RATIO = 0.3;

const FIRST_RULE: DispatchRule = {
  tailWeight: 0.1,
  orderWeight: 0.05,
  chanceWeight: 0.01,
  sizeWeights: [0, 0, 0, 0, 0, 0],
  fullRatio: 0.6,
  leaveForDays: 2,
  patienceDays: 4,
};

/**
 * First plans: builds dealt out in several ways, each order made by living through the season; then
 * every cluster by many rules, near the best one found.
 *
 * @param onPlan told of the best so far after every plan; may end the search by throwing
 * @source parallel-generation
 */
export function firstPlans(
  compiled: CompiledSeason,
  teams: readonly (readonly number[])[],
  search: BuildSearch,
  random: SeededRandom,
  onPlan: (best: SearchState) => void,
): SearchState {
  const dispatch = buildDispatch(compiled, crewDays(compiled));
  let best: SearchState | null = null;
  for (const rule of assignmentRules(compiled)) {
    const draft = buildDraft(compiled);
    const built = assignedBuilds(compiled, teams, rule, draft.crewOf);
    const clusters = teams.map((crews, team) => ({ crews, builds: built[team] ?? [] }));
    for (const cluster of clusters) dispatch.order(cluster, draft, FIRST_RULE, random);
    const state: SearchState = { draft, clusters, scores: [] };
    search.generate(state);
    if (best === null || isBetter(search.score(state), search.score(best), false)) best = state;
    onPlan(best);
  }
  if (best === null) throw new Error('a season has no way to deal its builds out');
  const each = Math.round(RULES.all / Math.max(1, teams.length));
  const trials = Math.max(RULES.least, Math.min(RULES.most, each));
  const rules = best.clusters.map(() => FIRST_RULE);
  const trial = copied(best.draft);
  for (let round = 0; round < trials; round += 1) {
    for (const [at, cluster] of best.clusters.entries()) {
      const rule =
        round < FRESH_RATIO * trials
          ? anyRule(random)
          : nearRule(rules[at] as DispatchRule, random);
      dispatch.order(cluster, trial, rule, random);
      if (search.replace(best, at, trial, worth)) rules[at] = rule;
      onPlan(best);
    }
  }
  return best;
}

/** What a cluster is worth by itself: less is better. */
const worth = (score: ClusterScore): number =>
  1_000 * score.broken +
  4 * score.tardinessDays +
  score.finishedDay +
  (score.personDays > 0 ? (0.2 * score.workMoment) / score.personDays : 0) +
  0.02 * score.moveDays;

function assignmentRules(compiled: CompiledSeason): AssignmentRule[] {
  const rest = { firstVillage: 0, keepsEarlierCrews: false };
  const rules: AssignmentRule[] = [
    { deals: 'way', by: 'place', ...rest },
    { deals: 'one', by: 'place', ...rest },
  ];
  if (compiled.dueDay.some((day) => day !== NO_DAY)) {
    rules.push({ deals: 'turns', by: 'due', ...rest }, { deals: 'one', by: 'due', ...rest });
  }
  if (compiled.season.builds.some(({ releaseDay }) => releaseDay > 0)) {
    rules.push(
      { deals: 'turns', by: 'release', ...rest },
      { deals: 'one', by: 'release', ...rest },
    );
  }
  if (compiled.hasEarlier) {
    rules.push({ deals: 'way', by: 'place', firstVillage: 0, keepsEarlierCrews: true });
  }
  return rules;
}

function anyRule(random: SeededRandom): DispatchRule {
  const scale = random() < 0.5 ? 0.1 : 0.5;
  return {
    tailWeight: random() < 0.3 ? 0 : scale * random(),
    orderWeight: random() < 0.3 ? 0 : scale * random(),
    chanceWeight: random() < 0.5 ? 0 : 0.3 * scale * random(),
    sizeWeights: FIRST_RULE.sizeWeights.map(() => random() - 0.5),
    fullRatio: 0.2 + 0.75 * random(),
    leaveForDays: 0.5 + 8 * random(),
    patienceDays: Math.floor(8 * random()),
  };
}

function nearRule(rule: DispatchRule, random: SeededRandom): DispatchRule {
  const near = (value: number, by: number): number =>
    random() < 0.4 ? value + (random() - 0.5) * by : value;
  const above = (value: number, by: number): number => Math.max(0, near(value, by));
  return {
    tailWeight: above(rule.tailWeight, 0.2),
    orderWeight: above(rule.orderWeight, 0.2),
    chanceWeight: above(rule.chanceWeight, 0.05),
    sizeWeights: rule.sizeWeights.map((value) => near(value, 0.3)),
    fullRatio: Math.min(1, above(rule.fullRatio, 0.2)),
    leaveForDays: above(rule.leaveForDays, 2),
    patienceDays: Math.floor(above(rule.patienceDays, 3)),
  };
}

/**
 * The earlier plan, its crews and order kept: no stage sooner than it was, later only where it must be.
 *
 * @source serial-generation
 */
export function earlierPlan(
  compiled: CompiledSeason,
  teams: readonly (readonly number[])[],
  search: BuildSearch,
): SearchState {
  const draft = buildDraft(compiled);
  const rule: AssignmentRule = {
    deals: 'one',
    by: 'place',
    firstVillage: 0,
    keepsEarlierCrews: true,
  };
  const built = assignedBuilds(compiled, teams, rule, draft.crewOf);
  const { unitFrom, unitActivity, earlierStart } = compiled;
  for (let unit = 0; unit < draft.key.length; unit += 1) {
    const was = earlierStart[unitActivity[unitFrom[unit] as number] as number] as number;
    draft.key[unit] = was === NO_DAY ? compiled.season.builds.length + 1_000 : Math.max(0, was);
  }
  const clusters: CrewCluster[] = teams.map((crews, team) => ({
    crews,
    builds: built[team] ?? [],
  }));
  const state: SearchState = { draft, clusters, scores: [] };
  search.generate(state);
  return state;
}
