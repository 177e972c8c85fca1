-- Facts from the field: stage records, inspections, findings and actions. None of them is ever overwritten.

create table stage_record (
  organisation_id uuid not null,
  id uuid not null,
  build_id uuid not null,
  stage_code text not null,
  kind text not null,
  observed_on date not null,
  check_code text,
  measured_value double precision,
  reason text,
  note text not null default '',
  device_recorded_at timestamptz(3),
  recorded_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint stage_record_pkey primary key (organisation_id, id),
  constraint stage_record_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint stage_record_recorded_by_id_fkey foreign key (organisation_id, recorded_by_id) references person (organisation_id, id),
  constraint stage_record_kind_known check (kind in ('started', 'finished', 'check-recorded', 'hold-released', 'hold-refused')),
  constraint stage_record_check_whole check (
    (kind = 'check-recorded') = (check_code is not null) and (kind = 'check-recorded') = (measured_value is not null)),
  constraint stage_record_refusal_reasoned check (kind <> 'hold-refused' or reason is not null)
);
create index stage_record_build_id_idx on stage_record (organisation_id, build_id, observed_on);
select protect_tenant_table('stage_record', 'append-only');

create table inspection (
  organisation_id uuid not null,
  id uuid not null,
  build_id uuid not null,
  kind text not null,
  inspected_on date not null,
  inspector_id uuid not null,
  condition text not null,
  water_depth_m double precision,
  watertightness jsonb,
  sanitary_answers jsonb not null default '{}',
  note text not null default '',
  recorded_at timestamptz(3) not null default now(),
  constraint inspection_pkey primary key (organisation_id, id),
  constraint inspection_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint inspection_inspector_id_fkey foreign key (organisation_id, inspector_id) references person (organisation_id, id),
  constraint inspection_kind_known check (kind in ('after-building', 'defects-visit', 'yearly', 'event')),
  constraint inspection_condition_known check (condition in ('functional', 'needs-repair', 'dry-for-lack-of-rain', 'not-functional', 'not-found')),
  constraint inspection_depth_not_negative check (water_depth_m >= 0)
);
create index inspection_build_id_idx on inspection (organisation_id, build_id, inspected_on);
select protect_tenant_table('inspection', 'append-only');

create table finding (
  organisation_id uuid not null,
  id uuid not null,
  inspection_id uuid not null,
  part text not null,
  severity text not null,
  description text not null,
  measured_value double precision,
  measured_unit text,
  constraint finding_pkey primary key (organisation_id, id),
  constraint finding_inspection_id_fkey foreign key (organisation_id, inspection_id) references inspection (organisation_id, id),
  constraint finding_severity_known check (severity in ('note', 'minor', 'major', 'danger'))
);
create index finding_inspection_id_idx on finding (organisation_id, inspection_id);
select protect_tenant_table('finding', 'append-only');

create table corrective_action (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  finding_id uuid not null,
  description text not null,
  due_on date not null,
  assigned_to_id uuid,
  closed_on date,
  closed_by_id uuid,
  closing_note text,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint corrective_action_pkey primary key (organisation_id, id),
  constraint corrective_action_finding_id_fkey foreign key (organisation_id, finding_id) references finding (organisation_id, id),
  constraint corrective_action_assigned_to_id_fkey foreign key (organisation_id, assigned_to_id) references person (organisation_id, id),
  constraint corrective_action_closed_by_id_fkey foreign key (organisation_id, closed_by_id) references person (organisation_id, id),
  constraint corrective_action_closed_whole check ((closed_on is null) = (closed_by_id is null))
);
create index corrective_action_due_on_idx on corrective_action (organisation_id, due_on) where closed_on is null;
select protect_tenant_table('corrective_action', 'editable');
