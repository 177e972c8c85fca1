import type { Build } from '../../../shared/contract/build.ts';
import type { Crew } from '../../../shared/contract/crew.ts';
import type { Village } from '../../../shared/contract/village.ts';
import { readAll } from '../api/client.ts';
import { nothingIfForbidden } from '../api/refusal.ts';

export interface SeasonData {
  readonly builds: readonly Build[];
  readonly villageById: ReadonlyMap<string, Village>;
  readonly crewById: ReadonlyMap<string, Crew>;
  /** Titles of stages by their code, where the person may read kinds of tank. */
  readonly stageTitleByCode: ReadonlyMap<string, string>;
}

/** Everything that the season page shows at once; `onCount` hears how many builds have come. */
export async function loadSeason(
  programmeId: string,
  signal: AbortSignal,
  onCount: (count: number) => void,
): Promise<SeasonData> {
  const [builds, villages, crews, kinds] = await Promise.all([
    readAll('/builds', { query: { programmeId }, signal, onPage: onCount }),
    readAll('/villages', { signal }).catch(nothingIfForbidden),
    readAll('/crews', { signal }).catch(nothingIfForbidden),
    readAll('/tank-kinds', { signal }).catch(nothingIfForbidden),
  ]);
  return {
    builds,
    villageById: new Map(villages.map((village) => [village.id, village])),
    crewById: new Map(crews.map((crew) => [crew.id, crew])),
    stageTitleByCode: new Map(
      kinds.flatMap(({ stages }) => stages.map(({ code, title }) => [code, title])),
    ),
  };
}
