import { v7 as uuidv7 } from 'uuid';
import type { NewSeasonPin, SeasonPin } from '../../../shared/contract/season-plan.ts';
import type { Tx } from '../../db/database.ts';
import { type FieldError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import {
  endPin,
  findBuildToPin,
  findLivePin,
  findPin,
  insertPin,
  listPins,
  programmeOfCrew,
} from './repository.ts';

export interface SeasonPins {
  readonly list: typeof listPins;
  create(tx: Tx, input: NewSeasonPin): Promise<SeasonPin>;
  end(tx: Tx, id: string): Promise<SeasonPin>;
}

const unknown = (pointer: string, message: string, rejectedValue: string): FieldError => ({
  pointer,
  code: 'reference.unknown',
  message,
  rejectedValue,
});

/** Dates and crews that a person holds to; the next plan keeps them or says why it cannot. */
export const seasonPins: SeasonPins = {
  list: listPins,

  async create(tx, input) {
    const { buildId, stageCode, crewId } = input;
    const build = await findBuildToPin(tx, buildId);
    if (!build) throw invalidContent([unknown('/buildId', 'names no build', buildId)]);
    if (build.cancelledOn !== null) {
      throw ruleBroken('build-is-cancelled', `Build ${build.code} was cancelled.`);
    }
    if (stageCode !== null && !build.stages.some(({ code }) => code === stageCode)) {
      throw invalidContent([unknown('/stageCode', 'is no stage of this build', stageCode)]);
    }
    if (crewId !== null && (await programmeOfCrew(tx, crewId)) !== build.programmeId) {
      throw invalidContent([unknown('/crewId', 'is no crew of this programme', crewId)]);
    }
    const live = await findLivePin(tx, input);
    if (live !== null) {
      throw ruleBroken('pinned-already', `Pin ${live} holds this already; end it first.`);
    }
    const id = input.id ?? uuidv7();
    await insertPin(tx, id, build.programmeId, input);
    await tx.audit('create', 'season pin', id, input);
    const made = await findPin(tx, id);
    if (!made) throw notFound('season pin', id);
    return made;
  },

  async end(tx, id) {
    const pin = await findPin(tx, id);
    if (!pin) throw notFound('season pin', id);
    if (await endPin(tx, id)) await tx.audit('end', 'season pin', id, { buildId: pin.buildId });
    return (await findPin(tx, id)) ?? pin;
  },
};
