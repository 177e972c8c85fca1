-- What a village agreed to give and gave; files of prices, counts and receipts and what was found in them.

create table village_contribution (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  programme_id uuid not null,
  village_id uuid not null,
  material_id uuid not null,
  agreed_quantity numeric(18,6) not null,
  unit_code text not null,
  valuation_rule text not null,
  unit_rate numeric(20,6) not null,
  currency char(3) not null,
  agreed_on date not null,
  due_on date not null,
  gates_dispatch boolean not null default true,
  evidence text not null,
  ended_on date,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint village_contribution_pkey primary key (organisation_id, id),
  constraint village_contribution_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint village_contribution_village_id_fkey foreign key (organisation_id, village_id) references village (organisation_id, id),
  constraint village_contribution_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint village_contribution_positive check (agreed_quantity > 0 and unit_rate >= 0),
  constraint village_contribution_due_after_agreement check (due_on >= agreed_on)
);
create unique index village_contribution_live_key
  on village_contribution (organisation_id, programme_id, village_id, material_id) where ended_on is null;
create index village_contribution_village_id_idx on village_contribution (organisation_id, village_id);
select protect_tenant_table('village_contribution', 'editable');

create table contribution_record (
  organisation_id uuid not null,
  id uuid not null,
  contribution_id uuid not null,
  quantity numeric(18,6) not null,
  observed_on date not null,
  evidence text not null,
  reverses_id uuid,
  cost_entry_id uuid,
  recorded_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint contribution_record_pkey primary key (organisation_id, id),
  constraint contribution_record_contribution_id_fkey foreign key (organisation_id, contribution_id) references village_contribution (organisation_id, id),
  constraint contribution_record_reverses_id_fkey foreign key (organisation_id, reverses_id) references contribution_record (organisation_id, id),
  constraint contribution_record_cost_entry_id_fkey foreign key (organisation_id, cost_entry_id) references cost_entry (organisation_id, id),
  constraint contribution_record_recorded_by_id_fkey foreign key (organisation_id, recorded_by_id) references person (organisation_id, id),
  constraint contribution_record_sign check ((reverses_id is null) = (quantity > 0) and quantity <> 0)
);
create index contribution_record_contribution_id_idx on contribution_record (organisation_id, contribution_id, observed_on);
create unique index contribution_record_reversed_once_key on contribution_record (organisation_id, reverses_id)
  where reverses_id is not null;
select protect_tenant_table('contribution_record', 'append-only');

-- Somebody answers for sending materials before the village's own inputs are there.
create table contribution_waiver (
  organisation_id uuid not null,
  id uuid not null,
  contribution_id uuid not null,
  waived_on date not null,
  reason text not null,
  waived_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint contribution_waiver_pkey primary key (organisation_id, id),
  constraint contribution_waiver_contribution_id_fkey foreign key (organisation_id, contribution_id) references village_contribution (organisation_id, id),
  constraint contribution_waiver_waived_by_id_fkey foreign key (organisation_id, waived_by_id) references person (organisation_id, id)
);
create index contribution_waiver_contribution_id_idx on contribution_waiver (organisation_id, contribution_id);
select protect_tenant_table('contribution_waiver', 'append-only');

create table material_import (
  organisation_id uuid not null,
  id uuid not null,
  kind text not null,
  mode text not null,
  file_name text not null,
  file_sha256 text not null,
  row_count integer not null,
  error_count integer not null,
  created_count integer not null,
  updated_count integer not null,
  unchanged_count integer not null,
  plan_hash text not null,
  state text not null,
  errors jsonb not null default '[]',
  requested_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  constraint material_import_pkey primary key (organisation_id, id),
  constraint material_import_requested_by_id_fkey foreign key (organisation_id, requested_by_id) references person (organisation_id, id),
  constraint material_import_kind_known check (kind in ('price-list', 'stock-count', 'receipt')),
  constraint material_import_mode_known check (mode in ('dry-run', 'apply')),
  constraint material_import_state_known check (state in ('checked', 'applied', 'rejected'))
);
create index material_import_created_at_idx on material_import (organisation_id, created_at desc, id desc);
select protect_tenant_table('material_import', 'append-only');

create index audit_entry_recorded_at_idx on audit_entry (organisation_id, recorded_at desc, id desc);
