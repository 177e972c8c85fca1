-- Which attempt owns a job, so that a worker that was given up for dead cannot write after its successor;
-- and the indexes of two lists.

alter table job add column attempt integer not null default 0;
alter table job add constraint job_attempt_not_negative check (attempt >= 0);
create index job_created_at_idx on job (organisation_id, created_at desc, id desc);

create index site_sizing_site_id_idx on site_sizing (organisation_id, site_id, created_at);

-- What the last decision of an engineer says about a revision; row security of the reader applies.
create view design_approval with (security_invoker = true) as
  select distinct on (organisation_id, design_revision_id)
    organisation_id, design_revision_id, decision, engineer_id, engineer_name, registration_number, decided_at
  from design_decision
  order by organisation_id, design_revision_id, decided_at desc, id desc;
grant select on design_approval to hoopwright_app;
