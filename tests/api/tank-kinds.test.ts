import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { tankKind } from '../../shared/contract/tank-kind.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import { BAMBOO_BAND_MORTAR_RECIPE } from '../../shared/takeoff/bamboo-band-mortar-recipe.ts';
import { ensureBambooBandMortarKind } from '../../src/modules/tank-kinds/ensure-kind.ts';
import { makeBuild } from '../support/factories.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let coordinator: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  coordinator = await service.person(['coordinator']);
});
afterAll(() => service.close());

const newKind = (code: string) => ({
  code,
  name: 'A kind',
  recipe: { ...BAMBOO_BAND_MORTAR_RECIPE, tankKindCode: code },
  stages: BAMBOO_BAND_MORTAR_STAGES,
});

const post = (body: object) => service.http.post('/v1/tank-kinds').set(coordinator.auth).send(body);

describe('tank kinds', () => {
  it("takes the engine's own recipe and stages as data and gives them back unchanged", async () => {
    const made = await post(newKind('kind-1')).expect(201);
    const read = await service.http
      .get(`/v1/tank-kinds/${made.body.id}`)
      .set(coordinator.auth)
      .expect(200);
    const kind = tankKind.parse(read.body);
    const { inKindMaterialCodes, ...recipe } = kind.recipe;
    expect(recipe).toEqual({ ...BAMBOO_BAND_MORTAR_RECIPE, tankKindCode: 'kind-1' });
    expect(inKindMaterialCodes).toEqual([]);
    expect(kind.stages).toEqual(BAMBOO_BAND_MORTAR_STAGES);
  });

  it('makes the bamboo-band-mortar kind once for an organisation', async () => {
    const other = await service.person(['coordinator']);
    const [first, second] = await Promise.all(
      [1, 2].map(() => service.as(other, (tx) => ensureBambooBandMortarKind(tx))),
    );
    expect(first?.id).toBe(second?.id);
    expect(first?.recipe.inKindMaterialCodes).toContain('labour-labourer');
    const { body } = await service.http.get('/v1/tank-kinds').set(other.auth).expect(200);
    expect(body.items).toHaveLength(1);
  });

  it('names a measure, a mix and a field that no tank has', async () => {
    const kind = newKind('kind-2');
    const [first, ...rest] = kind.recipe.works;
    const { errors } = expectProblem(
      await post({
        ...kind,
        colour: 'green',
        recipe: { ...kind.recipe, works: [{ ...first, measure: 'bandCountt' }, ...rest] },
      }),
      422,
      'invalid-content',
    );
    const pointers = errors?.map(({ pointer }) => pointer);
    expect(pointers).toContain('/recipe/works/0/measure');
    expect(pointers).toContain('/colour');
  });

  it('refuses a work in an unknown stage, a code that differs and a stage after a later one', async () => {
    const kind = newKind('kind-3');
    const [first, ...rest] = kind.recipe.works;
    const unknown = await post({
      ...kind,
      recipe: {
        ...kind.recipe,
        tankKindCode: 'kind-4',
        works: [{ ...first, stageCode: 'roof-garden' }, ...rest],
      },
    });
    expect(expectProblem(unknown, 422, 'invalid-content').errors).toMatchObject([
      { pointer: '/recipe/tankKindCode', rejectedValue: 'kind-4' },
      { pointer: '/recipe/works/0/stageCode', rejectedValue: 'roof-garden' },
    ]);
    const [slab, ...later] = kind.stages;
    const circular = await post({
      ...kind,
      stages: [{ ...slab, after: ['handover'] }, ...later],
    });
    expect(expectProblem(circular, 422, 'out-of-range').errors).toMatchObject([
      { pointer: '/stages/ground-and-slab/after', rejectedValue: 'handover' },
    ]);
  });

  it('lets the recipe change, but not the stages that builds go by', async () => {
    const build = await makeBuild(service, coordinator);
    const made = await post(newKind('kind-5')).expect(201);
    await service.as(coordinator, (tx) =>
      tx.sql('update build set tank_kind_id = $2 where id = $1', [build.buildId, made.body.id]),
    );
    const patch = (body: object, version = 1) =>
      service.http
        .patch(`/v1/tank-kinds/${made.body.id}`)
        .set(coordinator.auth)
        .set('if-match', `"v${version}"`)
        .send(body);
    const { rule } = expectProblem(
      await patch({ stages: BAMBOO_BAND_MORTAR_STAGES.slice(0, 3) }),
      422,
      // works of later stages are left without their stage
      'invalid-content',
    );
    expect(rule).toBeUndefined();
    const fewer = BAMBOO_BAND_MORTAR_STAGES.map((stage) => ({ ...stage, cautions: [] }));
    const inUse = expectProblem(await patch({ stages: fewer }), 422, 'rule-broken');
    expect(inUse.rule).toBe('tank-kind-in-use');
    const changed = await patch({
      recipe: { ...made.body.recipe, inKindMaterialCodes: ['sand'] },
    }).expect(200);
    expect(changed.body).toMatchObject({ version: 2, recipe: { inKindMaterialCodes: ['sand'] } });
  });

  it('hides the kinds of other organisations and refuses people who may not design', async () => {
    const made = await post(newKind('kind-6')).expect(201);
    const stranger = await service.person(['coordinator']);
    const foreign = await service.http.get(`/v1/tank-kinds/${made.body.id}`).set(stranger.auth);
    expectProblem(foreign, 404, 'not-found');
    const inspector = await service.person(['inspector'], coordinator.organisationId);
    const refused = await service.http
      .post('/v1/tank-kinds')
      .set(inspector.auth)
      .send(newKind('kind-7'));
    expectProblem(refused, 403, 'forbidden');
  });
});
