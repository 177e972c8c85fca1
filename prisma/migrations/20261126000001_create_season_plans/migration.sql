-- Season plans: who builds what, when and where; the wishes and wants of planning; the forecast.

-- Trades: none means that the crew does every stage. Learning: the first tanks of a crew take longer.
alter table crew
  add column trades text[] not null default '{}',
  add column available_from date,
  add column available_until date,
  add column absences jsonb not null default '[]',
  add column tanks_built integer not null default 0,
  add column practised_after_tanks integer not null default 0,
  add column learning_ratio numeric(4,3) not null default 1,
  add constraint crew_available_in_order check (available_until >= available_from),
  add constraint crew_learning_in_range check (
    learning_ratio >= 0.5 and learning_ratio <= 1 and tanks_built >= 0 and practised_after_tanks between 0 and 50);

alter table village
  add column no_work_weekdays integer[] not null default '{}',
  add constraint village_no_work_weekdays_in_range check (
    no_work_weekdays <@ array[1,2,3,4,5,6,7] and cardinality(no_work_weekdays) < 7);

-- Rains: between these days stages that rain blocks are not worked; the first of them is what a season hurries for.
alter table programme
  add column rains_from date,
  add column rains_until date,
  add column hold_release_days integer not null default 1,
  add column wet_day_mm double precision not null default 5,
  add column move_detour_ratio double precision not null default 1.4,
  add column move_speed_km_per_h double precision not null default 20,
  add column move_packing_hours double precision not null default 3,
  add constraint programme_rains_in_order check (rains_until >= rains_from),
  add constraint programme_rains_whole check ((rains_from is null) = (rains_until is null)),
  add constraint programme_planning_in_range check (
    hold_release_days between 0 and 60 and wet_day_mm > 0 and move_detour_ratio >= 1
    and move_speed_km_per_h > 0 and move_packing_hours >= 0);

alter table build
  add column earliest_start_on date,
  add column due_on date;

create table equipment_set (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  programme_id uuid not null,
  code text not null,
  name text not null,
  unit_count integer not null,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint equipment_set_pkey primary key (organisation_id, id),
  constraint equipment_set_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint equipment_set_code_key unique (organisation_id, programme_id, code),
  constraint equipment_set_count_not_negative check (unit_count >= 0)
);
select protect_tenant_table('equipment_set', 'editable');

-- A plan is found once and kept; only its standing changes: draft, published, superseded or set aside.
create table season_plan (
  organisation_id uuid not null,
  id uuid not null,
  programme_id uuid not null,
  job_id uuid,
  code text not null,
  purpose text not null,
  standing text not null default 'draft',
  version_number integer,
  based_on_id uuid,
  starts_on date not null,
  finishes_on date not null,
  bound_on date not null,
  status text not null,
  settings jsonb not null,
  figures jsonb not null,
  engine_version text not null,
  created_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  published_by_id uuid,
  published_at timestamptz(3),
  publication_reason text,
  superseded_at timestamptz(3),
  constraint season_plan_pkey primary key (organisation_id, id),
  constraint season_plan_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint season_plan_job_id_fkey foreign key (organisation_id, job_id) references job (organisation_id, id),
  constraint season_plan_based_on_id_fkey foreign key (organisation_id, based_on_id) references season_plan (organisation_id, id),
  constraint season_plan_created_by_id_fkey foreign key (organisation_id, created_by_id) references person (organisation_id, id),
  constraint season_plan_published_by_id_fkey foreign key (organisation_id, published_by_id) references person (organisation_id, id),
  constraint season_plan_code_key unique (organisation_id, code),
  constraint season_plan_purpose_known check (purpose in ('plan', 'replan', 'what-if')),
  constraint season_plan_standing_known check (standing in ('draft', 'published', 'superseded', 'set-aside')),
  constraint season_plan_status_known check (status in ('optimal', 'feasible')),
  constraint season_plan_bound_not_after_finish check (bound_on <= finishes_on),
  constraint season_plan_publication_whole check (
    (standing in ('published', 'superseded')) = (version_number is not null)
    and (version_number is null) = (published_at is null)
    and (version_number is null) = (published_by_id is null))
);
create index season_plan_programme_id_idx on season_plan (organisation_id, programme_id, created_at);
create unique index season_plan_one_published_key on season_plan (organisation_id, programme_id) where standing = 'published';
create unique index season_plan_version_key on season_plan (organisation_id, programme_id, version_number)
  where version_number is not null;
select protect_tenant_table('season_plan', 'editable');

create table season_plan_stage (
  organisation_id uuid not null,
  season_plan_id uuid not null,
  build_id uuid not null,
  stage_code text not null,
  crew_id uuid,
  starts_on date not null,
  finishes_on date not null,
  standing text not null,
  is_pinned boolean not null default false,
  waits_for jsonb not null,
  constraint season_plan_stage_pkey primary key (organisation_id, season_plan_id, build_id, stage_code),
  constraint season_plan_stage_season_plan_id_fkey foreign key (organisation_id, season_plan_id) references season_plan (organisation_id, id),
  constraint season_plan_stage_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint season_plan_stage_crew_id_fkey foreign key (organisation_id, crew_id) references crew (organisation_id, id),
  constraint season_plan_stage_standing_known check (standing in ('done', 'begun', 'planned')),
  constraint season_plan_stage_dates_in_order check (finishes_on >= starts_on)
);
create index season_plan_stage_crew_idx on season_plan_stage (organisation_id, season_plan_id, crew_id, starts_on);
create index season_plan_stage_build_id_idx on season_plan_stage (organisation_id, build_id);
select protect_tenant_table('season_plan_stage', 'append-only');

-- A date or a crew that a person holds to, whatever the plan would like.
create table season_pin (
  organisation_id uuid not null,
  id uuid not null,
  programme_id uuid not null,
  build_id uuid not null,
  stage_code text,
  crew_id uuid,
  starts_on date,
  reason text not null,
  made_by_id uuid not null,
  made_at timestamptz(3) not null default now(),
  ended_at timestamptz(3),
  ended_by_id uuid,
  constraint season_pin_pkey primary key (organisation_id, id),
  constraint season_pin_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint season_pin_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint season_pin_crew_id_fkey foreign key (organisation_id, crew_id) references crew (organisation_id, id),
  constraint season_pin_made_by_id_fkey foreign key (organisation_id, made_by_id) references person (organisation_id, id),
  constraint season_pin_ended_by_id_fkey foreign key (organisation_id, ended_by_id) references person (organisation_id, id),
  constraint season_pin_holds_something check (
    (crew_id is not null or starts_on is not null) and (starts_on is null or stage_code is not null)),
  constraint season_pin_end_whole check ((ended_at is null) = (ended_by_id is null))
);
create unique index season_pin_live_key on season_pin (organisation_id, build_id, coalesce(stage_code, ''))
  where ended_at is null;
create index season_pin_programme_id_idx on season_pin (organisation_id, programme_id);
select protect_tenant_table('season_pin', 'editable');

-- A season plan run through sampled weather.
create table season_forecast (
  organisation_id uuid not null,
  id uuid not null,
  season_plan_id uuid not null,
  job_id uuid,
  method text not null,
  sample_count integer not null,
  seed integer not null,
  result jsonb not null,
  engine_version text not null,
  created_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  constraint season_forecast_pkey primary key (organisation_id, id),
  constraint season_forecast_season_plan_id_fkey foreign key (organisation_id, season_plan_id) references season_plan (organisation_id, id),
  constraint season_forecast_job_id_fkey foreign key (organisation_id, job_id) references job (organisation_id, id),
  constraint season_forecast_created_by_id_fkey foreign key (organisation_id, created_by_id) references person (organisation_id, id),
  constraint season_forecast_method_known check (method in ('years', 'wet-day-chain')),
  constraint season_forecast_samples_in_range check (sample_count between 1 and 10000)
);
create index season_forecast_season_plan_id_idx on season_forecast (organisation_id, season_plan_id, created_at);
select protect_tenant_table('season_forecast', 'append-only');

-- A calendar that a phone or a desk subscribes to; its address is the secret, kept as a hash.
create table calendar_feed (
  organisation_id uuid not null,
  id uuid not null,
  crew_id uuid not null,
  token_sha256 text not null,
  created_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  revoked_at timestamptz(3),
  constraint calendar_feed_pkey primary key (organisation_id, id),
  constraint calendar_feed_crew_id_fkey foreign key (organisation_id, crew_id) references crew (organisation_id, id),
  constraint calendar_feed_created_by_id_fkey foreign key (organisation_id, created_by_id) references person (organisation_id, id),
  constraint calendar_feed_token_key unique (token_sha256)
);
create index calendar_feed_crew_id_idx on calendar_feed (organisation_id, crew_id);
select protect_tenant_table('calendar_feed', 'editable');
