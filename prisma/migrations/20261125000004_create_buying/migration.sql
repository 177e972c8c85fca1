-- From a requisition over an approved order, its delivery and receipt, to the invoice and its payment.

create table requisition (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  programme_id uuid not null,
  supply_plan_id uuid,
  code text not null,
  status text not null default 'requested',
  reason text not null default '',
  requested_by_id uuid not null,
  requested_on date not null,
  decided_by_id uuid,
  decided_at timestamptz(3),
  decision_remarks text not null default '',
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint requisition_pkey primary key (organisation_id, id),
  constraint requisition_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint requisition_supply_plan_id_fkey foreign key (organisation_id, supply_plan_id) references supply_plan (organisation_id, id),
  constraint requisition_requested_by_id_fkey foreign key (organisation_id, requested_by_id) references person (organisation_id, id),
  constraint requisition_decided_by_id_fkey foreign key (organisation_id, decided_by_id) references person (organisation_id, id),
  constraint requisition_code_key unique (organisation_id, code),
  constraint requisition_status_known check (status in ('requested', 'approved', 'refused', 'withdrawn', 'ordered')),
  constraint requisition_decided_by_another check (decided_by_id <> requested_by_id),
  constraint requisition_decision_whole check ((decided_by_id is null) = (decided_at is null))
);
create index requisition_programme_id_idx on requisition (organisation_id, programme_id, code);
select protect_tenant_table('requisition', 'editable');

create table requisition_line (
  organisation_id uuid not null,
  id uuid not null,
  requisition_id uuid not null,
  position integer not null,
  supply_plan_line_id uuid,
  material_id uuid not null,
  delivery_village_id uuid not null,
  offer_id uuid not null,
  need_quantity numeric(18,6) not null,
  pack_count integer not null,
  place_by date not null,
  needed_by date not null,
  constraint requisition_line_pkey primary key (organisation_id, id),
  constraint requisition_line_requisition_id_fkey foreign key (organisation_id, requisition_id) references requisition (organisation_id, id),
  constraint requisition_line_supply_plan_line_id_fkey foreign key (organisation_id, supply_plan_line_id) references supply_plan_line (organisation_id, id),
  constraint requisition_line_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint requisition_line_delivery_village_id_fkey foreign key (organisation_id, delivery_village_id) references village (organisation_id, id),
  constraint requisition_line_offer_id_fkey foreign key (organisation_id, offer_id) references offer (organisation_id, id),
  constraint requisition_line_position_key unique (organisation_id, requisition_id, position),
  constraint requisition_line_packs_positive check (pack_count > 0 and need_quantity >= 0)
);
create index requisition_line_plan_line_idx on requisition_line (organisation_id, supply_plan_line_id)
  where supply_plan_line_id is not null;
select protect_tenant_table('requisition_line', 'append-only');

alter table purchase_order add column requisition_id uuid;
alter table purchase_order add column supply_plan_id uuid;
alter table purchase_order add column requested_by_id uuid;
alter table purchase_order add column expected_on date;
alter table purchase_order add column closed_on date;
alter table purchase_order add constraint purchase_order_requisition_id_fkey
  foreign key (organisation_id, requisition_id) references requisition (organisation_id, id);
alter table purchase_order add constraint purchase_order_supply_plan_id_fkey
  foreign key (organisation_id, supply_plan_id) references supply_plan (organisation_id, id);
alter table purchase_order add constraint purchase_order_requested_by_id_fkey
  foreign key (organisation_id, requested_by_id) references person (organisation_id, id);
alter table purchase_order drop constraint purchase_order_status_known;
alter table purchase_order add constraint purchase_order_status_known
  check (status in ('draft', 'placed', 'partly-received', 'received', 'closed', 'cancelled'));
-- Forced row security would hide every row from an owner who is no superuser.
alter table purchase_order no force row level security;
alter table order_plan no force row level security;
update purchase_order o set requested_by_id = p.created_by_id
  from order_plan p where p.organisation_id = o.organisation_id and p.id = o.order_plan_id;
alter table purchase_order force row level security;
alter table order_plan force row level security;

-- Only what an amendment changes; what stood before is kept in order_amendment.
grant update (need_quantity, pack_count, ordered_quantity, rounding_quantity, price_per_pack, amount)
  on purchase_order_line to hoopwright_app;
alter table purchase_order_line add constraint purchase_order_line_amount_not_negative
  check (pack_count >= 0 and amount >= 0);
create index purchase_order_line_material_id_idx on purchase_order_line (organisation_id, material_id);

create table order_decision (
  organisation_id uuid not null,
  id uuid not null,
  order_id uuid not null,
  decision text not null,
  order_version integer not null,
  amount numeric(18,4) not null,
  currency char(3) not null,
  remarks text not null default '',
  requested_by_id uuid not null,
  decided_by_id uuid not null,
  decided_at timestamptz(3) not null default now(),
  constraint order_decision_pkey primary key (organisation_id, id),
  constraint order_decision_order_id_fkey foreign key (organisation_id, order_id) references purchase_order (organisation_id, id),
  constraint order_decision_decided_by_id_fkey foreign key (organisation_id, decided_by_id) references person (organisation_id, id),
  constraint order_decision_known check (decision in ('approved', 'refused')),
  constraint order_decision_by_another check (decided_by_id <> requested_by_id)
);
create index order_decision_order_id_idx on order_decision (organisation_id, order_id, decided_at);
select protect_tenant_table('order_decision', 'append-only');

create table order_amendment (
  organisation_id uuid not null,
  id uuid not null,
  order_id uuid not null,
  amendment_number integer not null,
  amended_on date not null,
  reason text not null,
  changes jsonb not null,
  amount_before numeric(18,4) not null,
  amount_after numeric(18,4) not null,
  amended_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint order_amendment_pkey primary key (organisation_id, id),
  constraint order_amendment_order_id_fkey foreign key (organisation_id, order_id) references purchase_order (organisation_id, id),
  constraint order_amendment_amended_by_id_fkey foreign key (organisation_id, amended_by_id) references person (organisation_id, id),
  constraint order_amendment_number_key unique (organisation_id, order_id, amendment_number)
);
select protect_tenant_table('order_amendment', 'append-only');

create table delivery_note (
  organisation_id uuid not null,
  id uuid not null,
  order_id uuid not null,
  note_number text not null,
  dispatched_on date not null,
  dispatched_from text not null default '',
  transporter text not null default '',
  vehicle text not null default '',
  remarks text not null default '',
  recorded_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint delivery_note_pkey primary key (organisation_id, id),
  constraint delivery_note_order_id_fkey foreign key (organisation_id, order_id) references purchase_order (organisation_id, id),
  constraint delivery_note_recorded_by_id_fkey foreign key (organisation_id, recorded_by_id) references person (organisation_id, id),
  constraint delivery_note_number_key unique (organisation_id, order_id, note_number)
);
select protect_tenant_table('delivery_note', 'append-only');

create table delivery_note_line (
  organisation_id uuid not null,
  id uuid not null,
  delivery_note_id uuid not null,
  order_line_id uuid not null,
  dispatched_quantity numeric(18,6) not null,
  constraint delivery_note_line_pkey primary key (organisation_id, id),
  constraint delivery_note_line_delivery_note_id_fkey foreign key (organisation_id, delivery_note_id) references delivery_note (organisation_id, id),
  constraint delivery_note_line_order_line_id_fkey foreign key (organisation_id, order_line_id) references purchase_order_line (organisation_id, id),
  constraint delivery_note_line_once_key unique (organisation_id, delivery_note_id, order_line_id),
  constraint delivery_note_line_positive check (dispatched_quantity > 0)
);
select protect_tenant_table('delivery_note_line', 'append-only');

create table goods_receipt (
  organisation_id uuid not null,
  id uuid not null,
  order_id uuid not null,
  delivery_note_id uuid not null,
  store_id uuid not null,
  receipt_number text not null,
  received_on date not null,
  is_signed_by_driver boolean not null default false,
  remarks text not null default '',
  received_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint goods_receipt_pkey primary key (organisation_id, id),
  constraint goods_receipt_order_id_fkey foreign key (organisation_id, order_id) references purchase_order (organisation_id, id),
  constraint goods_receipt_delivery_note_id_fkey foreign key (organisation_id, delivery_note_id) references delivery_note (organisation_id, id),
  constraint goods_receipt_store_id_fkey foreign key (organisation_id, store_id) references store (organisation_id, id),
  constraint goods_receipt_received_by_id_fkey foreign key (organisation_id, received_by_id) references person (organisation_id, id),
  constraint goods_receipt_note_once_key unique (organisation_id, delivery_note_id),
  constraint goods_receipt_number_key unique (organisation_id, receipt_number)
);
create index goods_receipt_order_id_idx on goods_receipt (organisation_id, order_id);
select protect_tenant_table('goods_receipt', 'append-only');

create table goods_receipt_line (
  organisation_id uuid not null,
  id uuid not null,
  receipt_id uuid not null,
  order_line_id uuid not null,
  dispatched_quantity numeric(18,6) not null,
  good_quantity numeric(18,6) not null,
  damaged_quantity numeric(18,6) not null default 0,
  missing_quantity numeric(18,6) not null default 0,
  excess_quantity numeric(18,6) not null default 0,
  remarks text not null default '',
  constraint goods_receipt_line_pkey primary key (organisation_id, id),
  constraint goods_receipt_line_receipt_id_fkey foreign key (organisation_id, receipt_id) references goods_receipt (organisation_id, id),
  constraint goods_receipt_line_order_line_id_fkey foreign key (organisation_id, order_line_id) references purchase_order_line (organisation_id, id),
  constraint goods_receipt_line_once_key unique (organisation_id, receipt_id, order_line_id),
  constraint goods_receipt_line_not_negative check (
    dispatched_quantity >= 0 and good_quantity >= 0 and damaged_quantity >= 0 and missing_quantity >= 0 and excess_quantity >= 0),
  constraint goods_receipt_line_adds_up check (
    dispatched_quantity + excess_quantity = good_quantity + damaged_quantity + missing_quantity)
);
select protect_tenant_table('goods_receipt_line', 'append-only');
alter table stock_entry add constraint stock_entry_receipt_line_id_fkey
  foreign key (organisation_id, receipt_line_id) references goods_receipt_line (organisation_id, id);

create table supplier_claim (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  order_id uuid not null,
  receipt_line_id uuid not null,
  kind text not null,
  quantity numeric(18,6) not null,
  amount numeric(18,4) not null,
  currency char(3) not null,
  status text not null default 'open',
  claimed_on date not null,
  settled_on date,
  settlement_note text not null default '',
  credited_amount numeric(18,4),
  raised_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint supplier_claim_pkey primary key (organisation_id, id),
  constraint supplier_claim_order_id_fkey foreign key (organisation_id, order_id) references purchase_order (organisation_id, id),
  constraint supplier_claim_receipt_line_id_fkey foreign key (organisation_id, receipt_line_id) references goods_receipt_line (organisation_id, id),
  constraint supplier_claim_raised_by_id_fkey foreign key (organisation_id, raised_by_id) references person (organisation_id, id),
  constraint supplier_claim_code_key unique (organisation_id, code),
  constraint supplier_claim_once_key unique (organisation_id, receipt_line_id, kind),
  constraint supplier_claim_kind_known check (kind in ('damaged', 'missing', 'excess')),
  constraint supplier_claim_status_known check (status in ('open', 'credited', 'replaced', 'returned', 'rejected')),
  constraint supplier_claim_positive check (quantity > 0 and amount >= 0),
  constraint supplier_claim_settled_whole check ((status = 'open') = (settled_on is null))
);
select protect_tenant_table('supplier_claim', 'editable');

create table supplier_invoice (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  order_id uuid not null,
  supplier_id uuid not null,
  invoice_number text not null,
  invoiced_on date not null,
  due_on date not null,
  currency char(3) not null,
  amount numeric(18,4) not null,
  other_charges_amount numeric(18,4) not null default 0,
  status text not null,
  match_findings jsonb not null default '[]',
  release_reason text not null default '',
  recorded_by_id uuid not null,
  released_by_id uuid,
  released_at timestamptz(3),
  paid_on date,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint supplier_invoice_pkey primary key (organisation_id, id),
  constraint supplier_invoice_order_id_fkey foreign key (organisation_id, order_id) references purchase_order (organisation_id, id),
  constraint supplier_invoice_supplier_id_fkey foreign key (organisation_id, supplier_id) references supplier (organisation_id, id),
  constraint supplier_invoice_recorded_by_id_fkey foreign key (organisation_id, recorded_by_id) references person (organisation_id, id),
  constraint supplier_invoice_released_by_id_fkey foreign key (organisation_id, released_by_id) references person (organisation_id, id),
  constraint supplier_invoice_number_key unique (organisation_id, supplier_id, invoice_number),
  constraint supplier_invoice_status_known check (status in ('matched', 'held', 'released', 'paid', 'rejected')),
  constraint supplier_invoice_released_by_another check (released_by_id <> recorded_by_id),
  constraint supplier_invoice_amounts_not_negative check (amount >= 0 and other_charges_amount >= 0),
  constraint supplier_invoice_due_after_invoice check (due_on >= invoiced_on)
);
create index supplier_invoice_order_id_idx on supplier_invoice (organisation_id, order_id);
select protect_tenant_table('supplier_invoice', 'editable');

create table supplier_invoice_line (
  organisation_id uuid not null,
  id uuid not null,
  invoice_id uuid not null,
  order_line_id uuid not null,
  invoiced_quantity numeric(18,6) not null,
  price_per_pack numeric(20,6) not null,
  amount numeric(18,4) not null,
  constraint supplier_invoice_line_pkey primary key (organisation_id, id),
  constraint supplier_invoice_line_invoice_id_fkey foreign key (organisation_id, invoice_id) references supplier_invoice (organisation_id, id),
  constraint supplier_invoice_line_order_line_id_fkey foreign key (organisation_id, order_line_id) references purchase_order_line (organisation_id, id),
  constraint supplier_invoice_line_once_key unique (organisation_id, invoice_id, order_line_id),
  constraint supplier_invoice_line_not_negative check (invoiced_quantity > 0 and price_per_pack >= 0 and amount >= 0)
);
select protect_tenant_table('supplier_invoice_line', 'append-only');

alter table cost_entry add column invoice_id uuid;
alter table cost_entry add column receipt_id uuid;
alter table cost_entry add constraint cost_entry_invoice_id_fkey
  foreign key (organisation_id, invoice_id) references supplier_invoice (organisation_id, id);
alter table cost_entry add constraint cost_entry_receipt_id_fkey
  foreign key (organisation_id, receipt_id) references goods_receipt (organisation_id, id);
create index cost_entry_order_id_idx on cost_entry (organisation_id, order_id) where order_id is not null;
