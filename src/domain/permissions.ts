export const ROLES = [
  'admin',
  'coordinator',
  'supervisor',
  'storekeeper',
  'engineer',
  'inspector',
  'donor',
  'integrator',
] as const;

export type Role = (typeof ROLES)[number];

const READS = [
  'programmes:read',
  'places:read',
  'sites:read',
  'rain:read',
  'designs:read',
  'builds:read',
  'materials:read',
  'stock:read',
  'orders:read',
  'inspections:read',
  'attachments:read',
  'jobs:read',
] as const;

export const PERMISSIONS = [
  ...READS,
  'people:read',
  'people:write',
  'audit:read',
  'programmes:write',
  'money:read',
  'money:write',
  'places:write',
  'sites:write',
  'contacts:read',
  'contacts:write',
  'rain:write',
  'designs:write',
  'designs:approve',
  'builds:write',
  'stages:write',
  'materials:write',
  'stock:write',
  'stock:approve',
  'orders:write',
  'orders:approve',
  'inspections:write',
  'attachments:write',
  'reports:read',
  'reports:write',
] as const;

export type Permission = (typeof PERMISSIONS)[number];

/** What each role may do; a person with several roles may do all that any of them may. */
export const ROLE_PERMISSIONS: Readonly<Record<Role, readonly Permission[]>> = {
  admin: [
    ...READS,
    'people:read',
    'people:write',
    'audit:read',
    'money:read',
    'orders:approve',
    'reports:read',
  ],
  coordinator: [
    ...READS,
    'people:read',
    'programmes:write',
    'money:read',
    'money:write',
    'places:write',
    'sites:write',
    'contacts:read',
    'contacts:write',
    'rain:write',
    'designs:write',
    'builds:write',
    'stages:write',
    'materials:write',
    'stock:approve',
    'orders:write',
    'orders:approve',
    'attachments:write',
    'reports:read',
    'reports:write',
  ],
  supervisor: [...READS, 'contacts:read', 'stages:write', 'attachments:write'],
  storekeeper: [
    'programmes:read',
    'places:read',
    'builds:read',
    'materials:read',
    'stock:read',
    'stock:write',
    'orders:read',
    'attachments:read',
    'attachments:write',
  ],
  engineer: [...READS, 'designs:write', 'designs:approve', 'stages:write', 'attachments:write'],
  inspector: [...READS, 'contacts:read', 'inspections:write', 'stages:write', 'attachments:write'],
  donor: ['reports:read'],
  integrator: [
    ...READS,
    'money:read',
    'money:write',
    'places:write',
    'sites:write',
    'rain:write',
    'materials:write',
    'stock:write',
    'orders:write',
    'reports:read',
  ],
};

export function permissionsOf(roles: readonly Role[]): ReadonlySet<Permission> {
  return new Set(roles.flatMap((role) => ROLE_PERMISSIONS[role]));
}
