-- What the work of a stage took, and what was decided about work that did not pass.

alter table stage_record
  drop constraint stage_record_kind_known,
  add column crew_id uuid,
  add column people_count integer,
  add column person_hours numeric(9,2),
  add column quantities jsonb,
  add column decision text,
  add column decides_record_id uuid,
  add column cause text,
  add column due_on date,
  add constraint stage_record_kind_known check (kind in (
    'started', 'finished', 'check-recorded', 'hold-released', 'hold-refused', 'work-recorded', 'nonconformity-decided')),
  add constraint stage_record_crew_id_fkey foreign key (organisation_id, crew_id) references crew (organisation_id, id),
  add constraint stage_record_work_whole check (
    (kind = 'work-recorded') = (people_count is not null) and (kind = 'work-recorded') = (person_hours is not null)
    and (people_count is null or people_count between 1 and 200) and (person_hours is null or person_hours >= 0)
    and (quantities is null or kind = 'work-recorded')),
  add constraint stage_record_decision_whole check (
    (kind = 'nonconformity-decided') = (decision is not null)
    and (kind = 'nonconformity-decided') = (decides_record_id is not null)
    and (decision is null or decision in ('rework', 'concession', 'reject'))
    and (decision is null or reason is not null)
    and (due_on is null or decision is not null) and (cause is null or decision is not null));

-- What the facts of a build say did not pass: written anew with every fact, listed across a season.
create table nonconformity (
  organisation_id uuid not null,
  build_id uuid not null,
  record_id uuid not null,
  stage_code text not null,
  kind text not null,
  check_code text,
  observed_on date not null,
  detail text not null,
  state text not null,
  decision text,
  decided_on date,
  decided_by_id uuid,
  due_on date,
  cause text,
  constraint nonconformity_pkey primary key (organisation_id, build_id, record_id),
  constraint nonconformity_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint nonconformity_record_id_fkey foreign key (organisation_id, record_id) references stage_record (organisation_id, id),
  constraint nonconformity_decided_by_id_fkey foreign key (organisation_id, decided_by_id) references person (organisation_id, id),
  constraint nonconformity_state_known check (state in ('open', 'in-rework', 'closed')),
  constraint nonconformity_decision_known check (decision in ('rework', 'concession', 'reject'))
);
create index nonconformity_state_idx on nonconformity (organisation_id, state, observed_on);
select protect_tenant_table('nonconformity', 'replaceable');
