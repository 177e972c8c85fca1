-- Lots, their tests and recalls; balances by lot; goods on the road; write-offs that two people sign.

create table stock_lot (
  organisation_id uuid not null,
  id uuid not null,
  material_id uuid not null,
  code text not null,
  supplier_id uuid,
  manufactured_on date,
  expires_on date,
  certificate_number text,
  treated_on date,
  remarks text not null default '',
  recorded_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint stock_lot_pkey primary key (organisation_id, id),
  constraint stock_lot_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint stock_lot_supplier_id_fkey foreign key (organisation_id, supplier_id) references supplier (organisation_id, id),
  constraint stock_lot_recorded_by_id_fkey foreign key (organisation_id, recorded_by_id) references person (organisation_id, id),
  constraint stock_lot_code_key unique (organisation_id, material_id, code),
  constraint stock_lot_material_key unique (organisation_id, id, material_id),
  constraint stock_lot_expires_after_manufacture check (expires_on >= manufactured_on)
);
select protect_tenant_table('stock_lot', 'append-only');

create table lot_test (
  organisation_id uuid not null,
  id uuid not null,
  lot_id uuid not null,
  tested_on date not null,
  outcome text not null,
  usable_until date,
  method text not null,
  evidence text not null default '',
  tested_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint lot_test_pkey primary key (organisation_id, id),
  constraint lot_test_lot_id_fkey foreign key (organisation_id, lot_id) references stock_lot (organisation_id, id),
  constraint lot_test_tested_by_id_fkey foreign key (organisation_id, tested_by_id) references person (organisation_id, id),
  constraint lot_test_outcome_known check (outcome in ('passed', 'failed')),
  constraint lot_test_passed_until check ((outcome = 'passed') = (usable_until is not null)),
  constraint lot_test_until_after_test check (usable_until > tested_on)
);
create index lot_test_lot_id_idx on lot_test (organisation_id, lot_id, tested_on);
select protect_tenant_table('lot_test', 'append-only');

create table lot_recall (
  organisation_id uuid not null,
  id uuid not null,
  lot_id uuid not null,
  recalled_on date not null,
  reason text not null,
  lifts_id uuid,
  recorded_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint lot_recall_pkey primary key (organisation_id, id),
  constraint lot_recall_lot_id_fkey foreign key (organisation_id, lot_id) references stock_lot (organisation_id, id),
  constraint lot_recall_lifts_id_fkey foreign key (organisation_id, lifts_id) references lot_recall (organisation_id, id),
  constraint lot_recall_recorded_by_id_fkey foreign key (organisation_id, recorded_by_id) references person (organisation_id, id)
);
create index lot_recall_lot_id_idx on lot_recall (organisation_id, lot_id);
create unique index lot_recall_lifted_once_key on lot_recall (organisation_id, lifts_id) where lifts_id is not null;
select protect_tenant_table('lot_recall', 'append-only');

-- Goods that left one store for another and have not arrived.
create table stock_dispatch (
  organisation_id uuid not null,
  id uuid not null,
  from_store_id uuid not null,
  to_store_id uuid not null,
  note_number text not null,
  dispatched_on date not null,
  vehicle text not null default '',
  reason text not null default '',
  dispatched_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint stock_dispatch_pkey primary key (organisation_id, id),
  constraint stock_dispatch_from_store_id_fkey foreign key (organisation_id, from_store_id) references store (organisation_id, id),
  constraint stock_dispatch_to_store_id_fkey foreign key (organisation_id, to_store_id) references store (organisation_id, id),
  constraint stock_dispatch_dispatched_by_id_fkey foreign key (organisation_id, dispatched_by_id) references person (organisation_id, id),
  constraint stock_dispatch_other_store check (from_store_id <> to_store_id),
  constraint stock_dispatch_note_key unique (organisation_id, note_number)
);
create index stock_dispatch_to_store_id_idx on stock_dispatch (organisation_id, to_store_id, dispatched_on);
select protect_tenant_table('stock_dispatch', 'append-only');

create table stock_dispatch_line (
  organisation_id uuid not null,
  id uuid not null,
  dispatch_id uuid not null,
  material_id uuid not null,
  lot_id uuid,
  unit_code text not null,
  dispatched_quantity numeric(18,6) not null,
  constraint stock_dispatch_line_pkey primary key (organisation_id, id),
  constraint stock_dispatch_line_dispatch_id_fkey foreign key (organisation_id, dispatch_id) references stock_dispatch (organisation_id, id),
  constraint stock_dispatch_line_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint stock_dispatch_line_lot_id_fkey foreign key (organisation_id, lot_id, material_id) references stock_lot (organisation_id, id, material_id),
  constraint stock_dispatch_line_positive check (dispatched_quantity > 0)
);
create index stock_dispatch_line_dispatch_id_idx on stock_dispatch_line (organisation_id, dispatch_id);
select protect_tenant_table('stock_dispatch_line', 'append-only');

create table stock_arrival (
  organisation_id uuid not null,
  id uuid not null,
  dispatch_id uuid not null,
  arrived_on date not null,
  remarks text not null default '',
  received_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint stock_arrival_pkey primary key (organisation_id, id),
  constraint stock_arrival_dispatch_id_fkey foreign key (organisation_id, dispatch_id) references stock_dispatch (organisation_id, id),
  constraint stock_arrival_received_by_id_fkey foreign key (organisation_id, received_by_id) references person (organisation_id, id),
  constraint stock_arrival_once_key unique (organisation_id, dispatch_id)
);
select protect_tenant_table('stock_arrival', 'append-only');

create table stock_arrival_line (
  organisation_id uuid not null,
  arrival_id uuid not null,
  dispatch_line_id uuid not null,
  dispatched_quantity numeric(18,6) not null,
  good_quantity numeric(18,6) not null,
  damaged_quantity numeric(18,6) not null default 0,
  missing_quantity numeric(18,6) not null default 0,
  excess_quantity numeric(18,6) not null default 0,
  remarks text not null default '',
  constraint stock_arrival_line_pkey primary key (organisation_id, arrival_id, dispatch_line_id),
  constraint stock_arrival_line_arrival_id_fkey foreign key (organisation_id, arrival_id) references stock_arrival (organisation_id, id),
  constraint stock_arrival_line_dispatch_line_id_fkey foreign key (organisation_id, dispatch_line_id) references stock_dispatch_line (organisation_id, id),
  constraint stock_arrival_line_not_negative check (
    good_quantity >= 0 and damaged_quantity >= 0 and missing_quantity >= 0 and excess_quantity >= 0),
  constraint stock_arrival_line_adds_up check (
    dispatched_quantity + excess_quantity = good_quantity + damaged_quantity + missing_quantity)
);
select protect_tenant_table('stock_arrival_line', 'append-only');

create table write_off_request (
  organisation_id uuid not null,
  id uuid not null,
  store_id uuid not null,
  material_id uuid not null,
  lot_id uuid,
  quantity numeric(18,6) not null,
  unit_code text not null,
  observed_on date not null,
  reason text not null,
  document_number text not null default '',
  requested_by_id uuid not null,
  requested_at timestamptz(3) not null default now(),
  constraint write_off_request_pkey primary key (organisation_id, id),
  constraint write_off_request_store_id_fkey foreign key (organisation_id, store_id) references store (organisation_id, id),
  constraint write_off_request_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint write_off_request_lot_id_fkey foreign key (organisation_id, lot_id, material_id) references stock_lot (organisation_id, id, material_id),
  constraint write_off_request_requested_by_id_fkey foreign key (organisation_id, requested_by_id) references person (organisation_id, id),
  constraint write_off_request_positive check (quantity > 0)
);
create index write_off_request_store_id_idx on write_off_request (organisation_id, store_id, requested_at);
select protect_tenant_table('write_off_request', 'append-only');

create table write_off_decision (
  organisation_id uuid not null,
  request_id uuid not null,
  decision text not null,
  remarks text not null default '',
  requested_by_id uuid not null,
  decided_by_id uuid not null,
  decided_at timestamptz(3) not null default now(),
  constraint write_off_decision_pkey primary key (organisation_id, request_id),
  constraint write_off_decision_request_id_fkey foreign key (organisation_id, request_id) references write_off_request (organisation_id, id),
  constraint write_off_decision_decided_by_id_fkey foreign key (organisation_id, decided_by_id) references person (organisation_id, id),
  constraint write_off_decision_known check (decision in ('approved', 'refused')),
  constraint write_off_decision_by_another check (decided_by_id <> requested_by_id)
);
select protect_tenant_table('write_off_decision', 'append-only');

alter table stock_entry add column lot_id uuid;
alter table stock_entry add column stage_code text;
alter table stock_entry add column receipt_line_id uuid;
alter table stock_entry add column dispatch_line_id uuid;
alter table stock_entry add column write_off_request_id uuid;
alter table stock_entry add constraint stock_entry_lot_id_fkey
  foreign key (organisation_id, lot_id, material_id) references stock_lot (organisation_id, id, material_id);
alter table stock_entry add constraint stock_entry_dispatch_line_id_fkey
  foreign key (organisation_id, dispatch_line_id) references stock_dispatch_line (organisation_id, id);
alter table stock_entry add constraint stock_entry_write_off_request_id_fkey
  foreign key (organisation_id, write_off_request_id) references write_off_request (organisation_id, id);
create index stock_entry_lot_id_idx on stock_entry (organisation_id, lot_id) where lot_id is not null;
create unique index stock_entry_written_off_once_key on stock_entry (organisation_id, write_off_request_id)
  where write_off_request_id is not null;

create table stock_lot_balance (
  organisation_id uuid not null,
  store_id uuid not null,
  material_id uuid not null,
  lot_id uuid not null,
  quantity numeric(18,6) not null,
  constraint stock_lot_balance_pkey primary key (organisation_id, store_id, material_id, lot_id),
  constraint stock_lot_balance_store_id_fkey foreign key (organisation_id, store_id) references store (organisation_id, id),
  constraint stock_lot_balance_lot_id_fkey foreign key (organisation_id, lot_id, material_id) references stock_lot (organisation_id, id, material_id),
  constraint stock_lot_balance_not_negative check (quantity >= 0)
);
select protect_tenant_table('stock_lot_balance', 'editable');

create or replace function post_stock_entry() returns trigger language plpgsql as $$
begin
  update stock_balance set quantity = quantity + new.quantity
    where organisation_id = new.organisation_id and store_id = new.store_id and material_id = new.material_id;
  if not found then
    insert into stock_balance (organisation_id, store_id, material_id, quantity)
      values (new.organisation_id, new.store_id, new.material_id, new.quantity)
      on conflict on constraint stock_balance_pkey do update set quantity = stock_balance.quantity + excluded.quantity;
  end if;
  if new.lot_id is not null then
    update stock_lot_balance set quantity = quantity + new.quantity
      where organisation_id = new.organisation_id and store_id = new.store_id
        and material_id = new.material_id and lot_id = new.lot_id;
    if not found then
      insert into stock_lot_balance (organisation_id, store_id, material_id, lot_id, quantity)
        values (new.organisation_id, new.store_id, new.material_id, new.lot_id, new.quantity)
        on conflict on constraint stock_lot_balance_pkey
        do update set quantity = stock_lot_balance.quantity + excluded.quantity;
    end if;
  end if;
  return new;
end $$;
