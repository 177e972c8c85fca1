-- Cost entries and the frozen reports whose figures point back at them.

create table cost_entry (
  organisation_id uuid not null,
  id uuid not null,
  programme_id uuid not null,
  grant_id uuid,
  budget_line_id uuid,
  build_id uuid,
  order_id uuid,
  state text not null,
  funding text not null,
  occurred_on date not null,
  description text not null,
  evidence text not null default '',
  amount numeric(18,4) not null,
  currency char(3) not null,
  grant_amount numeric(18,4),
  grant_currency char(3),
  rate numeric(20,10),
  rate_on date,
  rate_source text,
  reverses_id uuid,
  recorded_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint cost_entry_pkey primary key (organisation_id, id),
  constraint cost_entry_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint cost_entry_grant_id_fkey foreign key (organisation_id, grant_id) references grant_agreement (organisation_id, id),
  constraint cost_entry_budget_line_id_fkey foreign key (organisation_id, budget_line_id) references budget_line (organisation_id, id),
  constraint cost_entry_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint cost_entry_order_id_fkey foreign key (organisation_id, order_id) references purchase_order (organisation_id, id),
  constraint cost_entry_reverses_id_fkey foreign key (organisation_id, reverses_id) references cost_entry (organisation_id, id),
  constraint cost_entry_recorded_by_id_fkey foreign key (organisation_id, recorded_by_id) references person (organisation_id, id),
  constraint cost_entry_state_known check (state in ('committed', 'accrued', 'paid')),
  constraint cost_entry_funding_known check (funding in ('cash', 'in-kind')),
  constraint cost_entry_grant_whole check (
    (grant_id is null) = (grant_amount is null) and (grant_id is null) = (grant_currency is null)
    and (grant_id is null) = (rate is null) and (grant_id is null) = (rate_on is null) and (grant_id is null) = (rate_source is null)),
  constraint cost_entry_only_reversals_negative check (amount >= 0 or reverses_id is not null)
);
create unique index cost_entry_reversed_once_key on cost_entry (organisation_id, reverses_id) where reverses_id is not null;
create index cost_entry_grant_id_idx on cost_entry (organisation_id, grant_id, occurred_on);
create index cost_entry_build_id_idx on cost_entry (organisation_id, build_id);
select protect_tenant_table('cost_entry', 'append-only');

create table report (
  organisation_id uuid not null,
  id uuid not null,
  grant_id uuid not null,
  donor_id uuid not null,
  code text not null,
  period_from date not null,
  period_until date not null,
  data_on date not null,
  engine_version text not null,
  content jsonb not null,
  content_sha256 text not null,
  created_by_id uuid not null,
  frozen_at timestamptz(3) not null default now(),
  constraint report_pkey primary key (organisation_id, id),
  constraint report_grant_id_fkey foreign key (organisation_id, grant_id) references grant_agreement (organisation_id, id),
  constraint report_donor_id_fkey foreign key (organisation_id, donor_id) references donor (organisation_id, id),
  constraint report_created_by_id_fkey foreign key (organisation_id, created_by_id) references person (organisation_id, id),
  constraint report_code_key unique (organisation_id, code),
  constraint report_period_in_order check (period_until >= period_from)
);
create index report_grant_id_idx on report (organisation_id, grant_id);
select protect_tenant_table('report', 'append-only');

create table report_figure_record (
  organisation_id uuid not null,
  report_id uuid not null,
  figure_code text not null,
  noun text not null,
  record_id uuid not null,
  label text not null,
  contribution numeric(30,8) not null,
  constraint report_figure_record_pkey primary key (organisation_id, report_id, figure_code, noun, record_id),
  constraint report_figure_record_report_id_fkey foreign key (organisation_id, report_id) references report (organisation_id, id)
);
select protect_tenant_table('report_figure_record', 'append-only');
