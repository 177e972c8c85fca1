-- What changed, for devices that keep copies: one row a record, at its latest change. A transaction
-- number and a position within it order the changes. A reader takes only what lies below the oldest
-- transaction still at work, so that nothing appears behind it later.
create sequence change_log_position_seq;
grant usage on sequence change_log_position_seq to hoopwright_app;

create table change_log (
  organisation_id uuid not null,
  noun text not null,
  record_id uuid not null,
  build_id uuid,
  version integer,
  transaction_number bigint not null,
  position bigint not null default nextval('change_log_position_seq'),
  changed_at timestamptz(3) not null default clock_timestamp(),
  constraint change_log_pkey primary key (organisation_id, noun, record_id),
  constraint change_log_organisation_id_fkey foreign key (organisation_id) references organisation (id)
);
create index change_log_order_idx on change_log (organisation_id, transaction_number, position);
select protect_tenant_table('change_log', 'editable');

-- Logs a table, and what it holds already. One statement logs all the rows that a statement changed.
-- Whoever changes a record holds its row, so that two never wait for each other over its line in the
-- log alone. Each table has a function of its own, because the plan of such a one is kept.
create function log_changes_of(
  logged regclass, noun text, build_id text, version text, condition text
) returns void language plpgsql as $$
declare
  statement constant text := format(
    'insert into change_log (organisation_id, noun, record_id, build_id, version, transaction_number) '
    'select organisation_id, %L, id, %s, %s, pg_current_xact_id()::text::bigint from %%s where %s',
    noun, build_id, version, condition);
begin
  execute format(
    'create function %I() returns trigger language plpgsql as $log$ begin %s '
    'on conflict (organisation_id, noun, record_id) do update set version = excluded.version, '
    'transaction_number = excluded.transaction_number, position = excluded.position, '
    'changed_at = excluded.changed_at; return null; end $log$',
    'log_' || logged, format(statement, 'changed'));
  execute format(
    'create trigger log_insert after insert on %s referencing new table as changed '
    'for each statement execute function %I()', logged, 'log_' || logged);
  execute format(
    'create trigger log_update after update on %s referencing new table as changed '
    'for each statement execute function %I()', logged, 'log_' || logged);
  execute format('alter table %s no force row level security', logged);
  execute format(statement, logged);
  execute format('alter table %s force row level security', logged);
end $$;

alter table change_log no force row level security;
select log_changes_of('build', 'build', 'id', 'version', 'true');
select log_changes_of('stage_record', 'stage-record', 'build_id', 'null', 'true');
select log_changes_of('inspection', 'inspection', 'build_id', 'null', 'true');
select log_changes_of('corrective_action', 'corrective-action', 'null', 'version', 'true');
select log_changes_of('attachment', 'attachment', 'null', 'null',
  $$noun in ('build', 'stage-record', 'inspection')$$);
select log_changes_of('crew', 'crew', 'null', 'version', 'true');
select log_changes_of('store', 'store', 'null', 'version', 'true');
select log_changes_of('material', 'material', 'null', 'version', 'true');
select log_changes_of('stock_entry', 'stock-entry', 'build_id', 'null', 'true');
alter table change_log force row level security;
drop function log_changes_of(regclass, text, text, text, text);

-- The name by which a person tells their devices apart, to end the session of a lost one.
alter table session add column device_name text not null default '';
alter table session add constraint session_device_name_short check (length(device_name) <= 80);
