import {
  type NewTankKind,
  newTankKind,
  type TankKind,
  type TankKindPatch,
} from '../../../shared/contract/tank-kind.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../../shared/scheduling/bamboo-band-mortar-stages.ts';
import {
  requireStageTemplate,
  type StageTemplate,
} from '../../../shared/scheduling/stage-template.ts';
import { BAMBOO_BAND_MORTAR_RECIPE } from '../../../shared/takeoff/bamboo-band-mortar-recipe.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { inField } from '../../domain/engine-field.ts';
import { type FieldError, invalidContent, ruleBroken } from '../../domain/errors.ts';

export interface TankKindStore extends DocumentStore<TankKind, NewTankKind, TankKindPatch> {
  /** Whether builds that were not cancelled go by this kind; the kind stays locked. */
  hasBuilds(tx: Tx, id: string): Promise<boolean>;
  /** The kind of this code, made first when there is none. */
  ensure(tx: Tx, id: string, input: NewTankKind): Promise<TankKind>;
}

export interface TankKinds {
  readonly store: TankKindStore;
  guardCreate(tx: Tx, input: NewTankKind): Promise<void>;
  guardEdit(tx: Tx, id: string, patch: TankKindPatch): Promise<void>;
}

export function createTankKinds(store: TankKindStore): TankKinds {
  return {
    store,
    async guardCreate(_tx, input) {
      requireWhole(input);
    },
    async guardEdit(tx, id, patch) {
      const current = await store.get(tx, id);
      requireWhole({
        code: patch.code ?? current.code,
        recipe: patch.recipe ?? current.recipe,
        stages: patch.stages ?? current.stages,
      });
      if (patch.stages === undefined || !(await store.hasBuilds(tx, id))) return;
      throw ruleBroken(
        'tank-kind-in-use',
        'Builds go by the stages of this kind; make another kind for other stages.',
      );
    },
  };
}

/** Refuses a kind whose parts do not fit each other, naming every place. */
function requireWhole({ code, recipe, stages }: Pick<NewTankKind, 'code' | 'recipe' | 'stages'>) {
  inField('stages', () => requireStageTemplate(stages as StageTemplate));
  const errors: FieldError[] = [];
  if (recipe.tankKindCode !== code) {
    errors.push({
      pointer: '/recipe/tankKindCode',
      code: 'code.differs',
      message: `must be the code of the kind, ${code}`,
      rejectedValue: recipe.tankKindCode,
    });
  }
  const stageCodes = new Set(stages.map((stage) => stage.code));
  recipe.works.forEach(({ stageCode }, index) => {
    if (stageCodes.has(stageCode)) return;
    errors.push({
      pointer: `/recipe/works/${index}/stageCode`,
      code: 'stage.unknown',
      message: 'must be the code of one of the stages',
      rejectedValue: stageCode,
    });
  });
  if (errors.length > 0) throw invalidContent(errors);
}

/**
 * What the community gives where nothing else is agreed: common practice without a published source.
 * A programme that agrees otherwise edits the kind.
 */
const IN_KIND_MATERIAL_CODES = ['sand', 'hardcore', 'water', 'labour-labourer'];

/** The kind with a flattened-bamboo wall, strip hoops, steel bands and cement mortar, as data. */
export const bambooBandMortarKind = (): NewTankKind =>
  newTankKind.parse({
    code: BAMBOO_BAND_MORTAR_RECIPE.tankKindCode,
    name: 'Bamboo wall with steel bands and cement mortar',
    recipe: { ...BAMBOO_BAND_MORTAR_RECIPE, inKindMaterialCodes: IN_KIND_MATERIAL_CODES },
    stages: BAMBOO_BAND_MORTAR_STAGES,
  });
