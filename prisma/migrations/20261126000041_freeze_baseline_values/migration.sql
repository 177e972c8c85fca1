-- What the stages of a plan cost by their bills when it was published: bills are priced again, this is not.
create table season_plan_value (
  organisation_id uuid not null,
  season_plan_id uuid not null,
  build_id uuid not null,
  stage_code text not null,
  amount numeric(18,4) not null,
  in_kind_amount numeric(18,4) not null,
  currency char(3) not null,
  constraint season_plan_value_pkey primary key (organisation_id, season_plan_id, build_id, stage_code),
  constraint season_plan_value_season_plan_id_fkey foreign key (organisation_id, season_plan_id) references season_plan (organisation_id, id),
  constraint season_plan_value_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint season_plan_value_not_negative check (amount >= 0 and in_kind_amount >= 0)
);
create index season_plan_value_build_id_idx on season_plan_value (organisation_id, build_id);
select protect_tenant_table('season_plan_value', 'append-only');

-- Since when, and until when, each stage stood how, by the days on which the facts were observed. A stage
-- that has not started has no line. Written anew from the day of the earliest new fact of a build.
create table build_stage_standing (
  organisation_id uuid not null,
  build_id uuid not null,
  stage_code text not null,
  since_on date not null,
  until_on date,
  status text not null,
  constraint build_stage_standing_pkey primary key (organisation_id, build_id, stage_code, since_on),
  constraint build_stage_standing_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint build_stage_standing_days_in_order check (until_on > since_on),
  constraint build_stage_standing_status_known check (status in (
    'not-started', 'in-progress', 'awaiting-release', 'nonconforming', 'in-rework', 'accepted'))
);
select protect_tenant_table('build_stage_standing', 'replaceable');

-- Plans that are published already take the bills as they are now; nobody kept them earlier.
-- Forced row security would hide every row from an owner who is no superuser.
alter table season_plan_value no force row level security;
alter table season_plan no force row level security;
alter table season_plan_stage no force row level security;
alter table bill_line no force row level security;

insert into season_plan_value (organisation_id, season_plan_id, build_id, stage_code, amount, in_kind_amount, currency)
select l.organisation_id, p.id, l.build_id, l.stage_code,
  coalesce(sum(l.amount) filter (where not l.is_in_kind), 0), coalesce(sum(l.amount) filter (where l.is_in_kind), 0),
  min(l.currency)
from season_plan p
  join (select distinct organisation_id, season_plan_id, build_id from season_plan_stage) s
    on s.organisation_id = p.organisation_id and s.season_plan_id = p.id
  join bill_line l on l.organisation_id = s.organisation_id and l.build_id = s.build_id
where p.standing = 'published'
group by l.organisation_id, p.id, l.build_id, l.stage_code;

alter table season_plan_value force row level security;
alter table season_plan force row level security;
alter table season_plan_stage force row level security;
alter table bill_line force row level security;
