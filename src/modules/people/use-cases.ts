import { v7 as uuidv7 } from 'uuid';
import type { IssuedInvitation } from '../../../shared/contract/invitation.ts';
import type {
  InvitedPerson,
  NewPerson,
  Person,
  PersonPatch,
} from '../../../shared/contract/person.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { type FieldError, invalidContent, ruleBroken } from '../../domain/errors.ts';
import type { PersonColumns, PersonStore } from './repository.ts';

export interface People {
  readonly store: PersonStore;
  /** Makes a person together with the invitation to set a password. */
  create(tx: Tx, input: NewPerson): Promise<InvitedPerson>;
  edit(tx: Tx, id: string, version: number, patch: PersonPatch): Promise<Person>;
}

export interface PeopleParts {
  readonly store: PersonStore;
  readonly invite: (tx: Tx, personId: string) => Promise<IssuedInvitation>;
  readonly clock: Clock;
}

export function createPeople({ store, invite, clock }: PeopleParts): People {
  async function edit(tx: Tx, id: string, version: number, patch: PersonPatch): Promise<Person> {
    await store.lockAdministrators(tx);
    const before = await store.get(tx, id);
    const { isDisabled = before.isDisabled, ...fields } = patch;
    const after = withoutStrayDonor({ ...before, ...defined(fields), isDisabled }, patch);
    refuseUnsupportedRoles(after);
    refuseOwnAccess(tx, before, after);
    if (isAdministrator(before) && !isAdministrator(after)) await refuseLastAdministrator(tx, id);
    const disables = after.isDisabled && !before.isDisabled;
    const changed = await store.update(tx, id, version, {
      ...defined(fields),
      donorId: after.donorId,
      ...(isDisabled === before.isDisabled ? {} : { disabledAt: isDisabled ? clock.now() : null }),
    } as PersonColumns);
    if (disables) await store.endAccess(tx, id);
    const rolesBefore = patch.roles ? { rolesBefore: before.roles } : {};
    await tx.audit(disables ? 'disable' : 'edit', 'person', id, { ...patch, ...rolesBefore });
    return changed;
  }

  async function refuseLastAdministrator(tx: Tx, id: string) {
    if ((await store.otherAdministratorCount(tx, id)) > 0) return;
    throw ruleBroken(
      'last-administrator',
      'This is the last administrator who can sign in; make another one first.',
    );
  }

  return {
    store,
    edit,
    async create(tx, { id = uuidv7(), ...input }) {
      const { donorId = null, engineerRegistrationNumber = null, ...rest } = input;
      const fields = { ...rest, donorId, engineerRegistrationNumber };
      refuseUnsupportedRoles(fields);
      const made = await store.create(tx, id, fields);
      await tx.audit('create', 'person', id, fields);
      return { ...made, invitation: await invite(tx, id) };
    },
  };
}

const isAdministrator = ({ roles, isDisabled }: Pick<Person, 'roles' | 'isDisabled'>) =>
  roles.includes('admin') && !isDisabled;

const defined = <Fields extends object>(fields: Fields) =>
  Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as {
    [Key in keyof Fields]: Exclude<Fields[Key], undefined>;
  };

/** Whoever stops looking on behalf of a donor is not narrowed to that donor any more. */
const withoutStrayDonor = (after: Person, patch: PersonPatch): Person =>
  after.roles.includes('donor') || patch.donorId ? after : { ...after, donorId: null };

/** Some roles need to know more about the person. */
function refuseUnsupportedRoles(
  person: Pick<Person, 'roles' | 'donorId' | 'engineerRegistrationNumber'>,
): void {
  const errors: FieldError[] = [];
  const isDonor = person.roles.includes('donor');
  if (isDonor && person.donorId === null) {
    errors.push({
      pointer: '/donorId',
      code: 'role.needs-donor',
      message: 'is needed for the role donor: whose grants may the person see?',
    });
  }
  if (!isDonor && person.donorId !== null) {
    errors.push({
      pointer: '/donorId',
      code: 'role.not-donor',
      message: 'is for people with the role donor only',
      rejectedValue: person.donorId,
    });
  }
  if (person.roles.includes('engineer') && person.engineerRegistrationNumber === null) {
    errors.push({
      pointer: '/engineerRegistrationNumber',
      code: 'role.needs-registration',
      message: 'is needed for the role engineer, whose approvals carry it',
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
}

/** Separation of duty: nobody decides on the own roles, or shuts the own door. */
function refuseOwnAccess(tx: Tx, before: Person, after: Person): void {
  if (before.id !== tx.actor.personId) return;
  if ([...before.roles].sort().join() !== [...after.roles].sort().join()) {
    throw ruleBroken('own-roles', 'Another administrator must change your roles.');
  }
  if (after.isDisabled) {
    throw ruleBroken('own-access', 'Another administrator must disable you.');
  }
}
