-- Kinds of tank as data, designs with immutable revisions, sizing of sites, builds and their bills.

create table tank_kind (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  name text not null,
  recipe jsonb not null,
  stages jsonb not null,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint tank_kind_pkey primary key (organisation_id, id),
  constraint tank_kind_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint tank_kind_code_key unique (organisation_id, code)
);
select protect_tenant_table('tank_kind', 'editable');

create table tank_design (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  tank_kind_id uuid not null,
  code text not null,
  name text not null,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint tank_design_pkey primary key (organisation_id, id),
  constraint tank_design_tank_kind_id_fkey foreign key (organisation_id, tank_kind_id) references tank_kind (organisation_id, id),
  constraint tank_design_code_key unique (organisation_id, code)
);
select protect_tenant_table('tank_design', 'editable');

create table design_revision (
  organisation_id uuid not null,
  id uuid not null,
  design_id uuid not null,
  revision_number integer not null,
  engine_version text not null,
  input jsonb not null,
  result jsonb not null,
  take_off jsonb not null,
  outcome text not null,
  capacity_l double precision not null,
  created_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  constraint design_revision_pkey primary key (organisation_id, id),
  constraint design_revision_design_id_fkey foreign key (organisation_id, design_id) references tank_design (organisation_id, id),
  constraint design_revision_created_by_id_fkey foreign key (organisation_id, created_by_id) references person (organisation_id, id),
  constraint design_revision_number_key unique (organisation_id, design_id, revision_number),
  constraint design_revision_outcome_known check (outcome in ('pass', 'review', 'fail')),
  constraint design_revision_capacity_positive check (capacity_l > 0)
);
select protect_tenant_table('design_revision', 'append-only');

create table design_decision (
  organisation_id uuid not null,
  id uuid not null,
  design_revision_id uuid not null,
  decision text not null,
  engineer_id uuid not null,
  engineer_name text not null,
  registration_number text not null,
  remarks text not null default '',
  decided_at timestamptz(3) not null default now(),
  constraint design_decision_pkey primary key (organisation_id, id),
  constraint design_decision_design_revision_id_fkey foreign key (organisation_id, design_revision_id) references design_revision (organisation_id, id),
  constraint design_decision_engineer_id_fkey foreign key (organisation_id, engineer_id) references person (organisation_id, id),
  constraint design_decision_known check (decision in ('approved', 'refused', 'withdrawn'))
);
create index design_decision_revision_idx on design_decision (organisation_id, design_revision_id, decided_at);
select protect_tenant_table('design_decision', 'append-only');

create table programme_standard_design (
  organisation_id uuid not null,
  programme_id uuid not null,
  design_revision_id uuid not null,
  constraint programme_standard_design_pkey primary key (organisation_id, programme_id, design_revision_id),
  constraint programme_standard_design_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint programme_standard_design_revision_id_fkey foreign key (organisation_id, design_revision_id) references design_revision (organisation_id, id)
);
select protect_tenant_table('programme_standard_design', 'replaceable');

create table site_sizing (
  organisation_id uuid not null,
  id uuid not null,
  job_id uuid not null,
  programme_id uuid not null,
  site_id uuid not null,
  rain_series_id uuid,
  engine_version text not null,
  design_revision_id uuid,
  refusal text,
  demand_l_per_day double precision,
  mean_annual_runoff_l double precision,
  volumetric_reliability_ratio double precision,
  days_met_ratio double precision,
  mean_yield_l_per_day double precision,
  dry_months integer[] not null default '{}',
  candidates jsonb not null default '[]',
  is_latest boolean not null default true,
  created_at timestamptz(3) not null default now(),
  constraint site_sizing_pkey primary key (organisation_id, id),
  constraint site_sizing_job_id_fkey foreign key (organisation_id, job_id) references job (organisation_id, id),
  constraint site_sizing_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint site_sizing_site_id_fkey foreign key (organisation_id, site_id) references site (organisation_id, id),
  constraint site_sizing_rain_series_id_fkey foreign key (organisation_id, rain_series_id) references rain_series (organisation_id, id),
  constraint site_sizing_design_revision_id_fkey foreign key (organisation_id, design_revision_id) references design_revision (organisation_id, id),
  constraint site_sizing_chosen_or_refused check ((design_revision_id is null) <> (refusal is null)),
  constraint site_sizing_refusal_known check (refusal in
    ('roof-too-small', 'target-not-reachable', 'ground-unknown', 'ground-not-suitable', 'no-rain-record', 'no-demand', 'no-standard-design'))
);
create unique index site_sizing_latest_key on site_sizing (organisation_id, site_id) where is_latest;
create index site_sizing_programme_id_idx on site_sizing (organisation_id, programme_id);
select protect_tenant_table('site_sizing', 'editable');

create table crew (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  programme_id uuid not null,
  code text not null,
  name text not null,
  size integer not null,
  home_village_id uuid,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint crew_pkey primary key (organisation_id, id),
  constraint crew_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint crew_home_village_id_fkey foreign key (organisation_id, home_village_id) references village (organisation_id, id),
  constraint crew_code_key unique (organisation_id, code),
  constraint crew_size_positive check (size > 0)
);
select protect_tenant_table('crew', 'editable');

create table build (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  programme_id uuid not null,
  site_id uuid not null,
  village_id uuid not null,
  design_revision_id uuid not null,
  tank_kind_id uuid not null,
  crew_id uuid,
  code text not null,
  planned_start_on date,
  priced_on date not null,
  cancelled_on date,
  status text not null default 'planned',
  percent_complete numeric(9,6) not null default 0,
  current_stage_code text,
  started_on date,
  handed_over_on date,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint build_pkey primary key (organisation_id, id),
  constraint build_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint build_site_id_fkey foreign key (organisation_id, site_id) references site (organisation_id, id),
  constraint build_village_id_fkey foreign key (organisation_id, village_id) references village (organisation_id, id),
  constraint build_design_revision_id_fkey foreign key (organisation_id, design_revision_id) references design_revision (organisation_id, id),
  constraint build_tank_kind_id_fkey foreign key (organisation_id, tank_kind_id) references tank_kind (organisation_id, id),
  constraint build_crew_id_fkey foreign key (organisation_id, crew_id) references crew (organisation_id, id),
  constraint build_code_key unique (organisation_id, code),
  constraint build_status_known check (status in ('planned', 'started', 'on-hold', 'complete', 'handed-over', 'cancelled')),
  constraint build_percent_in_range check (percent_complete >= 0 and percent_complete <= 100)
);
create unique index build_live_site_key on build (organisation_id, site_id) where cancelled_on is null;
create index build_programme_code_idx on build (organisation_id, programme_id, code);
create index build_village_id_idx on build (organisation_id, village_id);
select protect_tenant_table('build', 'editable');

create table build_grant_share (
  organisation_id uuid not null,
  build_id uuid not null,
  grant_id uuid not null,
  share_ratio numeric(9,8) not null,
  constraint build_grant_share_pkey primary key (organisation_id, build_id, grant_id),
  constraint build_grant_share_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint build_grant_share_grant_id_fkey foreign key (organisation_id, grant_id) references grant_agreement (organisation_id, id),
  constraint build_grant_share_in_range check (share_ratio > 0 and share_ratio <= 1)
);
create index build_grant_share_grant_id_idx on build_grant_share (organisation_id, grant_id);
select protect_tenant_table('build_grant_share', 'replaceable');
