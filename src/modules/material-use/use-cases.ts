import type { BuildMaterials, MaterialConsumption } from '../../../shared/contract/material-use.ts';
import { buildMaterialStanding } from '../../../shared/procurement/build-material.ts';
import { learnedWasteOfTotals } from '../../../shared/takeoff/learned-waste.ts';
import { subtractQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { notFound } from '../../domain/errors.ts';
import type { Page } from '../../http/page.ts';
import {
  findBuildCode,
  hasProgramme,
  listUse,
  materialsOfBuild,
  type UseFilter,
  type UseRow,
} from './repository.ts';

export interface MaterialUse {
  ofBuild(tx: Tx, buildId: string): Promise<BuildMaterials>;
  ofProgramme(tx: Tx, programmeId: string, filter: UseFilter): Promise<Page<MaterialConsumption>>;
}

/** What was used of each material against the bill, and the waste that finished builds teach. */
export function createMaterialUse(): MaterialUse {
  return {
    async ofBuild(tx, buildId) {
      const buildCode = await findBuildCode(tx, buildId);
      if (buildCode === null) throw notFound('build', buildId);
      const rows = await materialsOfBuild(tx, buildId);
      return {
        buildId,
        buildCode,
        materials: rows.map(({ needed, issued, returned, packCode, packContent, ...material }) => {
          const is = buildMaterialStanding({ needed, issued, returned, packContent });
          return {
            ...material,
            neededQuantity: needed,
            issuedQuantity: issued,
            returnedQuantity: returned,
            atBuildQuantity: is.atBuild,
            outstandingQuantity: is.outstanding,
            returnableQuantity: is.returnable,
            packCode,
            packContent,
            neededPacks: is.neededPacks,
            outstandingPacks: is.outstandingPacks,
            returnablePacks: is.returnablePacks,
          };
        }),
      };
    },
    async ofProgramme(tx, programmeId, filter) {
      if (!(await hasProgramme(tx, programmeId))) throw notFound('programme', programmeId);
      const isLearned = filter.groupBy === 'material';
      return listUse(tx, programmeId, filter, (row) => toConsumption(row, isLearned));
    },
  };
}

function toConsumption(row: UseRow, isLearned: boolean): MaterialConsumption {
  const { net, bill, issued, returned, ...rest } = row;
  const { learnedBuilds, learnedNet, learnedIssued, learnedReturned, ...group } = rest;
  const used = subtractQuantities(issued, returned);
  const { buildCount, wasteRatio, tooFew } = learnedWasteOfTotals({
    buildCount: learnedBuilds,
    net: learnedNet,
    issued: learnedIssued,
    returned: learnedReturned,
  });
  return {
    ...group,
    netQuantity: net,
    billQuantity: bill,
    issuedQuantity: issued,
    returnedQuantity: returned,
    usedQuantity: used,
    differenceQuantity: subtractQuantities(used, bill),
    billWasteRatio: Number(net) > 0 ? Number(bill) / Number(net) - 1 : null,
    learnedWaste: isLearned ? { buildCount, wasteRatio, tooFew } : null,
  };
}
