-- Roles, row security and the tables of people, credentials, requests and jobs.

do $$
begin
  if not exists (select from pg_roles where rolname = 'hoopwright_app') then
    create role hoopwright_app nologin nosuperuser nocreatedb nocreaterole nobypassrls;
  end if;
exception when duplicate_object or unique_violation then null;
end $$;

grant usage on schema public to hoopwright_app;

-- nullif: after a transaction the setting reads as an empty string, which must mean "no tenant".
create function app_organisation() returns uuid language sql stable
  as $$ select nullif(current_setting('app.organisation_id', true), '')::uuid $$;
create function app_account() returns uuid language sql stable
  as $$ select nullif(current_setting('app.account_id', true), '')::uuid $$;
create function app_credential() returns text language sql stable
  as $$ select nullif(current_setting('app.credential_hash', true), '') $$;

-- Every tenant table passes through here once: row security enabled and forced, one policy, least grants.
create function protect_tenant_table(tenant_table regclass, mode text) returns void language plpgsql as $$
begin
  execute format('alter table %s enable row level security', tenant_table);
  execute format('alter table %s force row level security', tenant_table);
  execute format(
    'create policy tenant on %s using (organisation_id = (select app_organisation())) '
    'with check (organisation_id = (select app_organisation()))', tenant_table);
  if mode = 'append-only' then
    execute format('grant select, insert on %s to hoopwright_app', tenant_table);
  elsif mode = 'editable' then
    execute format('grant select, insert, update on %s to hoopwright_app', tenant_table);
  elsif mode = 'replaceable' then
    execute format('grant select, insert, update, delete on %s to hoopwright_app', tenant_table);
  else
    raise exception 'unknown mode %', mode;
  end if;
end $$;

create table organisation (
  id uuid not null,
  name text not null,
  time_zone text not null default 'UTC',
  cursor_key uuid not null default gen_random_uuid(),
  created_at timestamptz(3) not null default now(),
  constraint organisation_pkey primary key (id)
);
alter table organisation enable row level security;
alter table organisation force row level security;
create policy tenant on organisation
  using (id = (select app_organisation())) with check (id = (select app_organisation()));
grant select, insert, update on organisation to hoopwright_app;

create table account (
  id uuid not null,
  email text not null,
  password_hash text,
  password_changed_at timestamptz(3),
  disabled_at timestamptz(3),
  created_at timestamptz(3) not null default now(),
  constraint account_pkey primary key (id),
  constraint account_email_key unique (email),
  constraint account_email_lower_case check (email = lower(email))
);
grant select, insert, update on account to hoopwright_app;

create table sign_in_failure (
  key text not null,
  failure_count integer not null,
  last_failed_at timestamptz(3) not null,
  blocked_until timestamptz(3),
  constraint sign_in_failure_pkey primary key (key)
);
grant select, insert, update, delete on sign_in_failure to hoopwright_app;

create table person (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  account_id uuid,
  name text not null,
  email text not null,
  roles text[] not null,
  donor_id uuid,
  engineer_registration_number text,
  disabled_at timestamptz(3),
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint person_pkey primary key (organisation_id, id),
  constraint person_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint person_account_id_fkey foreign key (account_id) references account (id),
  constraint person_email_key unique (organisation_id, email),
  constraint person_roles_known check (roles <@ array['admin','coordinator','supervisor','storekeeper','engineer','inspector','donor','integrator'])
);
create index person_account_id_idx on person (account_id);
alter table person enable row level security;
alter table person force row level security;
create policy tenant on person
  using (organisation_id = (select app_organisation()) or account_id = (select app_account()))
  with check (organisation_id = (select app_organisation()));
grant select, insert, update on person to hoopwright_app;

create table session (
  organisation_id uuid not null,
  id uuid not null,
  token_hash text not null,
  account_id uuid not null,
  person_id uuid not null,
  created_at timestamptz(3) not null default now(),
  last_seen_at timestamptz(3) not null default now(),
  expires_at timestamptz(3) not null,
  revoked_at timestamptz(3),
  constraint session_pkey primary key (organisation_id, id),
  constraint session_token_hash_key unique (token_hash),
  constraint session_account_id_fkey foreign key (account_id) references account (id),
  constraint session_person_id_fkey foreign key (organisation_id, person_id) references person (organisation_id, id)
);
alter table session enable row level security;
alter table session force row level security;
create policy tenant on session
  using (organisation_id = (select app_organisation()) or token_hash = (select app_credential()))
  with check (organisation_id = (select app_organisation()));
grant select, insert, update on session to hoopwright_app;

create table api_token (
  organisation_id uuid not null,
  id uuid not null,
  token_hash text not null,
  account_id uuid not null,
  person_id uuid not null,
  name text not null,
  ending text not null,
  created_at timestamptz(3) not null default now(),
  expires_at timestamptz(3),
  last_used_at timestamptz(3),
  revoked_at timestamptz(3),
  constraint api_token_pkey primary key (organisation_id, id),
  constraint api_token_token_hash_key unique (token_hash),
  constraint api_token_account_id_fkey foreign key (account_id) references account (id),
  constraint api_token_person_id_fkey foreign key (organisation_id, person_id) references person (organisation_id, id)
);
alter table api_token enable row level security;
alter table api_token force row level security;
create policy tenant on api_token
  using (organisation_id = (select app_organisation()) or token_hash = (select app_credential()))
  with check (organisation_id = (select app_organisation()));
grant select, insert, update on api_token to hoopwright_app;

create table invitation (
  organisation_id uuid not null,
  id uuid not null,
  token_hash text not null,
  person_id uuid not null,
  invited_by_id uuid,
  created_at timestamptz(3) not null default now(),
  expires_at timestamptz(3) not null,
  accepted_at timestamptz(3),
  constraint invitation_pkey primary key (organisation_id, id),
  constraint invitation_token_hash_key unique (token_hash),
  constraint invitation_person_id_fkey foreign key (organisation_id, person_id) references person (organisation_id, id)
);
alter table invitation enable row level security;
alter table invitation force row level security;
create policy tenant on invitation
  using (organisation_id = (select app_organisation()) or token_hash = (select app_credential()))
  with check (organisation_id = (select app_organisation()));
grant select, insert, update on invitation to hoopwright_app;

-- One statement that turns a credential's hash into the person who holds it; it sees nothing else because
-- the policies above show a credential's own row only to the transaction that presents its hash.
create function authenticate(credential_hash text, credential_kind text) returns table (
  organisation_id uuid, person_id uuid, account_id uuid, credential_id uuid, name text, roles text[],
  donor_id uuid, cursor_key uuid, is_stale boolean
) language plpgsql volatile as $$
declare
  found_organisation uuid; found_person uuid; found_account uuid; found_id uuid; stale boolean;
begin
  perform set_config('app.credential_hash', credential_hash, true);
  if credential_kind = 'session' then
    select s.organisation_id, s.person_id, s.account_id, s.id, s.last_seen_at < now() - interval '1 minute'
      into found_organisation, found_person, found_account, found_id, stale
      from session s
      where s.token_hash = credential_hash and s.revoked_at is null and s.expires_at > now()
        and s.last_seen_at > now() - interval '12 hours';
  else
    select t.organisation_id, t.person_id, t.account_id, t.id, coalesce(t.last_used_at < now() - interval '1 minute', true)
      into found_organisation, found_person, found_account, found_id, stale
      from api_token t
      where t.token_hash = credential_hash and t.revoked_at is null and (t.expires_at is null or t.expires_at > now());
  end if;
  if found_organisation is null then return; end if;
  perform set_config('app.organisation_id', found_organisation::text, true);
  return query
    select p.organisation_id, p.id, p.account_id, found_id, p.name, p.roles, p.donor_id, o.cursor_key, stale
    from person p
      join organisation o on o.id = p.organisation_id
      join account a on a.id = p.account_id
    where p.organisation_id = found_organisation and p.id = found_person and p.account_id = found_account
      and p.disabled_at is null and a.disabled_at is null;
end $$;

create table idempotency_key (
  organisation_id uuid not null,
  person_id uuid not null,
  key text not null,
  request_hash text not null,
  status integer,
  headers jsonb,
  body text,
  created_at timestamptz(3) not null default now(),
  constraint idempotency_key_pkey primary key (organisation_id, person_id, key)
);
create index idempotency_key_created_at_idx on idempotency_key (organisation_id, created_at);
select protect_tenant_table('idempotency_key', 'replaceable');

create table audit_entry (
  organisation_id uuid not null,
  id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  person_id uuid,
  request_id text,
  action text not null,
  noun text not null,
  record_id text,
  detail jsonb not null default '{}',
  constraint audit_entry_pkey primary key (organisation_id, id)
);
create index audit_entry_record_idx on audit_entry (organisation_id, noun, record_id);
select protect_tenant_table('audit_entry', 'append-only');

create table job (
  organisation_id uuid not null,
  id uuid not null,
  kind text not null,
  state text not null,
  input jsonb not null,
  progress_done integer not null default 0,
  progress_total integer not null default 0,
  result jsonb,
  error jsonb,
  requested_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  started_at timestamptz(3),
  finished_at timestamptz(3),
  cancel_requested_at timestamptz(3),
  constraint job_pkey primary key (organisation_id, id),
  constraint job_requested_by_id_fkey foreign key (organisation_id, requested_by_id) references person (organisation_id, id),
  constraint job_state_known check (state in ('queued', 'running', 'succeeded', 'failed', 'cancelled')),
  constraint job_progress_in_range check (progress_done >= 0 and progress_done <= progress_total)
);
select protect_tenant_table('job', 'editable');
