-- Who pays, where, for whom, and the rain that falls there.

create table donor (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  name text not null,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint donor_pkey primary key (organisation_id, id),
  constraint donor_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint donor_code_key unique (organisation_id, code)
);
select protect_tenant_table('donor', 'editable');

alter table person add constraint person_donor_id_fkey
  foreign key (organisation_id, donor_id) references donor (organisation_id, id);

create table programme (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  name text not null,
  starts_on date not null,
  ends_on date not null,
  currency char(3) not null,
  working_weekdays integer[] not null default '{1,2,3,4,5,6}',
  holidays date[] not null default '{}',
  target_reliability_ratio double precision not null,
  litres_per_person_per_day double precision not null,
  operating_rule text not null default 'yield-after-spillage',
  first_flush_mm double precision not null default 1,
  gutter_efficiency_ratio double precision not null default 0.9,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint programme_pkey primary key (organisation_id, id),
  constraint programme_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint programme_code_key unique (organisation_id, code),
  constraint programme_dates_in_order check (ends_on >= starts_on),
  constraint programme_target_in_range check (target_reliability_ratio > 0 and target_reliability_ratio <= 1),
  constraint programme_operating_rule_known check (operating_rule in ('yield-after-spillage', 'yield-before-spillage'))
);
select protect_tenant_table('programme', 'editable');

create table grant_agreement (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  programme_id uuid not null,
  donor_id uuid not null,
  code text not null,
  title text not null,
  currency char(3) not null,
  amount numeric(18,4) not null,
  starts_on date not null,
  ends_on date not null,
  rate_policy text not null,
  restrictions text not null default '',
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint grant_agreement_pkey primary key (organisation_id, id),
  constraint grant_agreement_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint grant_agreement_donor_id_fkey foreign key (organisation_id, donor_id) references donor (organisation_id, id),
  constraint grant_agreement_code_key unique (organisation_id, code),
  constraint grant_agreement_amount_not_negative check (amount >= 0),
  constraint grant_agreement_dates_in_order check (ends_on >= starts_on),
  constraint grant_agreement_rate_policy_known check (rate_policy in ('transaction-date', 'period-average', 'fixed'))
);
create index grant_agreement_programme_id_idx on grant_agreement (organisation_id, programme_id);
select protect_tenant_table('grant_agreement', 'editable');

create table budget_line (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  grant_id uuid not null,
  code text not null,
  title text not null,
  amount numeric(18,4) not null,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint budget_line_pkey primary key (organisation_id, id),
  constraint budget_line_grant_id_fkey foreign key (organisation_id, grant_id) references grant_agreement (organisation_id, id),
  constraint budget_line_code_key unique (organisation_id, grant_id, code),
  constraint budget_line_amount_not_negative check (amount >= 0)
);
select protect_tenant_table('budget_line', 'editable');

create table exchange_rate (
  organisation_id uuid not null,
  id uuid not null,
  from_currency char(3) not null,
  to_currency char(3) not null,
  rate numeric(20,10) not null,
  rate_on date not null,
  source text not null,
  created_at timestamptz(3) not null default now(),
  constraint exchange_rate_pkey primary key (organisation_id, id),
  constraint exchange_rate_day_key unique (organisation_id, from_currency, to_currency, rate_on, source),
  constraint exchange_rate_positive check (rate > 0)
);
select protect_tenant_table('exchange_rate', 'append-only');

create table store (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  name text not null,
  place text not null,
  lat_deg numeric(8,5),
  lon_deg numeric(8,5),
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint store_pkey primary key (organisation_id, id),
  constraint store_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint store_code_key unique (organisation_id, code)
);
select protect_tenant_table('store', 'editable');

create table rain_station (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  name text not null,
  source text not null,
  lat_deg numeric(8,5),
  lon_deg numeric(8,5),
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint rain_station_pkey primary key (organisation_id, id),
  constraint rain_station_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint rain_station_code_key unique (organisation_id, code)
);
select protect_tenant_table('rain_station', 'editable');

create table rain_series (
  organisation_id uuid not null,
  id uuid not null,
  station_id uuid not null,
  starts_on date not null,
  ends_on date not null,
  daily_rain_mm double precision[] not null,
  missing_day_count integer not null,
  missing_days_declared boolean not null,
  source text not null,
  created_at timestamptz(3) not null default now(),
  constraint rain_series_pkey primary key (organisation_id, id),
  constraint rain_series_station_id_fkey foreign key (organisation_id, station_id) references rain_station (organisation_id, id),
  constraint rain_series_length check (cardinality(daily_rain_mm) = ends_on - starts_on + 1),
  constraint rain_series_gaps_declared check (missing_day_count = 0 or missing_days_declared)
);
create index rain_series_station_id_idx on rain_series (organisation_id, station_id, created_at);
select protect_tenant_table('rain_series', 'append-only');

create table village (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  name text not null,
  district text not null,
  lat_deg numeric(8,5),
  lon_deg numeric(8,5),
  reachable_months integer[] not null default '{1,2,3,4,5,6,7,8,9,10,11,12}',
  rain_station_id uuid,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint village_pkey primary key (organisation_id, id),
  constraint village_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint village_rain_station_id_fkey foreign key (organisation_id, rain_station_id) references rain_station (organisation_id, id),
  constraint village_code_key unique (organisation_id, code),
  constraint village_months_in_range check (reachable_months <@ array[1,2,3,4,5,6,7,8,9,10,11,12])
);
select protect_tenant_table('village', 'editable');

create table village_road (
  organisation_id uuid not null,
  village_id uuid not null,
  store_id uuid not null,
  road_km double precision not null,
  constraint village_road_pkey primary key (organisation_id, village_id, store_id),
  constraint village_road_village_id_fkey foreign key (organisation_id, village_id) references village (organisation_id, id),
  constraint village_road_store_id_fkey foreign key (organisation_id, store_id) references store (organisation_id, id),
  constraint village_road_km_not_negative check (road_km >= 0)
);
select protect_tenant_table('village_road', 'replaceable');

create table site (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  programme_id uuid not null,
  village_id uuid not null,
  code text not null,
  kind text not null,
  roof_area_m2 double precision not null,
  roof_kind text not null,
  runoff_coefficient double precision,
  people_served integer not null,
  litres_per_person_per_day double precision,
  demand_l_per_day double precision,
  ground_class text,
  agreed_on date,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint site_pkey primary key (organisation_id, id),
  constraint site_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint site_village_id_fkey foreign key (organisation_id, village_id) references village (organisation_id, id),
  constraint site_code_key unique (organisation_id, programme_id, code),
  constraint site_kind_known check (kind in ('household', 'school', 'clinic', 'community')),
  constraint site_roof_area_positive check (roof_area_m2 > 0),
  constraint site_people_not_negative check (people_served >= 0),
  constraint site_runoff_in_range check (runoff_coefficient > 0 and runoff_coefficient <= 1),
  constraint site_demand_positive check (demand_l_per_day > 0)
);
create index site_village_id_idx on site (organisation_id, village_id);
select protect_tenant_table('site', 'editable');

create table site_contact (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  contact_name text,
  phone text,
  lat_deg numeric(8,5),
  lon_deg numeric(8,5),
  consent_given boolean not null default false,
  consent_on date,
  photo_consent_given boolean not null default false,
  retain_until date,
  updated_at timestamptz(3) not null default now(),
  constraint site_contact_pkey primary key (organisation_id, id),
  constraint site_contact_id_fkey foreign key (organisation_id, id) references site (organisation_id, id),
  constraint site_contact_consent_before_data check (
    consent_given or (contact_name is null and phone is null and lat_deg is null and lon_deg is null))
);
select protect_tenant_table('site_contact', 'replaceable');

create table site_import (
  organisation_id uuid not null,
  id uuid not null,
  programme_id uuid not null,
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
  constraint site_import_pkey primary key (organisation_id, id),
  constraint site_import_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint site_import_mode_known check (mode in ('dry-run', 'apply')),
  constraint site_import_state_known check (state in ('checked', 'applied', 'rejected'))
);
select protect_tenant_table('site_import', 'append-only');

create table attachment (
  organisation_id uuid not null,
  id uuid not null,
  noun text not null,
  record_id uuid not null,
  file_name text not null,
  media_type text not null,
  byte_count integer not null,
  sha256 text not null,
  taken_on date,
  caption text not null default '',
  uploaded_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  constraint attachment_pkey primary key (organisation_id, id),
  constraint attachment_uploaded_by_id_fkey foreign key (organisation_id, uploaded_by_id) references person (organisation_id, id),
  constraint attachment_noun_known check (noun in ('site', 'build', 'stage-record', 'inspection', 'order', 'cost-entry'))
);
create index attachment_record_idx on attachment (organisation_id, noun, record_id);
select protect_tenant_table('attachment', 'append-only');

create table attachment_content (
  organisation_id uuid not null,
  id uuid not null,
  content bytea not null,
  constraint attachment_content_pkey primary key (organisation_id, id),
  constraint attachment_content_id_fkey foreign key (organisation_id, id) references attachment (organisation_id, id)
);
select protect_tenant_table('attachment_content', 'append-only');
