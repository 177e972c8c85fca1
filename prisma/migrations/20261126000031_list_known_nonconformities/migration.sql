-- Failed checks and refused holds from before non-conformities were listed. Of a build that is recorded
-- on from here, the list is written anew by its facts.

-- Forced row security would hide every row from an owner who is no superuser.
alter table nonconformity no force row level security;
alter table stage_record no force row level security;
alter table build no force row level security;
alter table tank_kind no force row level security;
alter table design_revision no force row level security;

with fact as (
  select r.*, coalesce(r.device_recorded_at, r.recorded_at) as made_at, k.stages,
    (d.input->>'waterDepthM')::float8 as water_depth_m
  from stage_record r
    join build b on b.organisation_id = r.organisation_id and b.id = r.build_id
    join tank_kind k on k.organisation_id = b.organisation_id and k.id = b.tank_kind_id
    join design_revision d on d.organisation_id = b.organisation_id and d.id = b.design_revision_id),
failed as (
  select f.organisation_id, f.build_id, f.id, f.stage_code, 'check-failed' as kind, f.check_code, f.observed_on,
    f.check_code || ' is ' || f.measured_value || ', outside its limits' as detail,
    exists (select from fact later
      where later.organisation_id = f.organisation_id and later.build_id = f.build_id
        and later.stage_code = f.stage_code and later.check_code = f.check_code
        and (later.observed_on, later.made_at, later.id) > (f.observed_on, f.made_at, f.id)) as is_mended
  from fact f
    cross join lateral jsonb_array_elements(f.stages) as stage
    cross join lateral jsonb_array_elements(stage->'checks') as limits
  where f.kind = 'check-recorded' and stage->>'code' = f.stage_code and limits->>'code' = f.check_code
    and (f.measured_value < (limits->>'minimum')::float8
      or f.measured_value > (limits->>'maximum')::float8
      -- the fall of the water is held to depth/500 as well
      or (f.check_code = 'level-fall-7-days' and f.measured_value > f.water_depth_m * 1000 / 500))),
refused as (
  select f.organisation_id, f.build_id, f.id, f.stage_code, 'hold-refused' as kind, null::text as check_code,
    f.observed_on, f.reason as detail,
    exists (select from fact later
      where later.organisation_id = f.organisation_id and later.build_id = f.build_id
        and later.stage_code = f.stage_code and later.kind = 'hold-released'
        and (later.observed_on, later.made_at, later.id) > (f.observed_on, f.made_at, f.id)) as is_mended
  from fact f where f.kind = 'hold-refused')
insert into nonconformity (organisation_id, build_id, record_id, stage_code, kind, check_code, observed_on, detail,
  state)
select organisation_id, build_id, id, stage_code, kind, check_code, observed_on, detail,
  case when is_mended then 'closed' else 'open' end
from (select * from failed union all select * from refused) as known
on conflict do nothing;

alter table nonconformity force row level security;
alter table stage_record force row level security;
alter table build force row level security;
alter table tank_kind force row level security;
alter table design_revision force row level security;
