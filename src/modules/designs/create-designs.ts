import { tankDesignStore } from './repository.ts';
import { revisionStore } from './revision-repository.ts';
import { createDesignRevisions } from './revision-use-cases.ts';
import type { Designs } from './routes.ts';
import type { StandardDesignSources } from './standard-designs.ts';
import { createStandardDesigns } from './standard-designs.ts';
import { createTankDesigns } from './use-cases.ts';

/** The designs slice on its own tables, with what it asks of programmes. */
export function createDesigns(programmes: Omit<StandardDesignSources, 'approvals'>): Designs {
  return {
    designs: createTankDesigns(tankDesignStore),
    revisions: createDesignRevisions(revisionStore, tankDesignStore),
    standard: createStandardDesigns({ ...programmes, approvals: revisionStore.approvals }),
  };
}
