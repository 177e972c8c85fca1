-- What is bought, from whom, at which price; bills, orders, stores and the stock ledger.

create table material (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  name text not null,
  category text not null,
  unit_code text not null,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint material_pkey primary key (organisation_id, id),
  constraint material_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint material_code_key unique (organisation_id, code)
);
select protect_tenant_table('material', 'editable');

create table supplier (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  code text not null,
  name text not null,
  place text not null,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint supplier_pkey primary key (organisation_id, id),
  constraint supplier_organisation_id_fkey foreign key (organisation_id) references organisation (id),
  constraint supplier_code_key unique (organisation_id, code)
);
select protect_tenant_table('supplier', 'editable');

create table offer (
  organisation_id uuid not null,
  id uuid not null,
  supplier_id uuid not null,
  material_id uuid not null,
  pack_code text not null,
  pack_content numeric(18,6) not null,
  price_per_pack numeric(20,6) not null,
  currency char(3) not null,
  minimum_packs integer not null default 1,
  lead_days integer not null,
  valid_from date not null,
  valid_until date not null,
  withdrawn_on date,
  created_at timestamptz(3) not null default now(),
  constraint offer_pkey primary key (organisation_id, id),
  constraint offer_supplier_id_fkey foreign key (organisation_id, supplier_id) references supplier (organisation_id, id),
  constraint offer_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint offer_pack_content_positive check (pack_content > 0),
  constraint offer_price_not_negative check (price_per_pack >= 0),
  constraint offer_minimum_positive check (minimum_packs >= 1),
  constraint offer_lead_days_not_negative check (lead_days >= 0),
  constraint offer_dates_in_order check (valid_until >= valid_from)
);
create index offer_material_id_idx on offer (organisation_id, material_id, valid_from);
select protect_tenant_table('offer', 'editable');

create table bill_line (
  organisation_id uuid not null,
  build_id uuid not null,
  line_code text not null,
  position integer not null,
  stage_code text not null,
  part text not null,
  material_id uuid not null,
  unit_code text not null,
  net_quantity numeric(18,6) not null,
  waste_ratio numeric(9,6) not null,
  with_waste_quantity numeric(18,6) not null,
  offer_id uuid,
  unit_rate numeric(20,6) not null,
  currency char(3) not null,
  amount numeric(18,4) not null,
  is_in_kind boolean not null default false,
  constraint bill_line_pkey primary key (organisation_id, build_id, line_code),
  constraint bill_line_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint bill_line_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint bill_line_offer_id_fkey foreign key (organisation_id, offer_id) references offer (organisation_id, id),
  constraint bill_line_quantities_in_order check (net_quantity >= 0 and with_waste_quantity >= net_quantity)
);
select protect_tenant_table('bill_line', 'replaceable');

create table purchase_order (
  organisation_id uuid not null,
  id uuid not null,
  version integer not null default 1,
  programme_id uuid not null,
  order_plan_id uuid,
  supplier_id uuid not null,
  delivery_village_id uuid not null,
  code text not null,
  status text not null default 'draft',
  currency char(3) not null,
  priced_on date not null,
  needed_by date,
  placed_on date,
  cancelled_on date,
  created_at timestamptz(3) not null default now(),
  updated_at timestamptz(3) not null default now(),
  constraint purchase_order_pkey primary key (organisation_id, id),
  constraint purchase_order_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint purchase_order_supplier_id_fkey foreign key (organisation_id, supplier_id) references supplier (organisation_id, id),
  constraint purchase_order_delivery_village_id_fkey foreign key (organisation_id, delivery_village_id) references village (organisation_id, id),
  constraint purchase_order_code_key unique (organisation_id, code),
  constraint purchase_order_status_known check (status in ('draft', 'placed', 'partly-received', 'received', 'cancelled'))
);
create index purchase_order_programme_id_idx on purchase_order (organisation_id, programme_id);
select protect_tenant_table('purchase_order', 'editable');

create table order_plan (
  organisation_id uuid not null,
  id uuid not null,
  programme_id uuid not null,
  code text not null,
  priced_on date not null,
  build_count integer not null,
  currency char(3) not null,
  total_amount numeric(18,4) not null,
  rounded_per_tank_amount numeric(18,4) not null,
  unserved jsonb not null default '[]',
  comparison jsonb not null,
  created_by_id uuid not null,
  created_at timestamptz(3) not null default now(),
  constraint order_plan_pkey primary key (organisation_id, id),
  constraint order_plan_programme_id_fkey foreign key (organisation_id, programme_id) references programme (organisation_id, id),
  constraint order_plan_created_by_id_fkey foreign key (organisation_id, created_by_id) references person (organisation_id, id),
  constraint order_plan_code_key unique (organisation_id, code)
);
select protect_tenant_table('order_plan', 'append-only');
alter table purchase_order add constraint purchase_order_order_plan_id_fkey
  foreign key (organisation_id, order_plan_id) references order_plan (organisation_id, id);

create table order_plan_build (
  organisation_id uuid not null,
  order_plan_id uuid not null,
  build_id uuid not null,
  constraint order_plan_build_pkey primary key (organisation_id, order_plan_id, build_id),
  constraint order_plan_build_plan_id_fkey foreign key (organisation_id, order_plan_id) references order_plan (organisation_id, id),
  constraint order_plan_build_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id)
);
select protect_tenant_table('order_plan_build', 'append-only');

create table purchase_order_line (
  organisation_id uuid not null,
  id uuid not null,
  order_id uuid not null,
  material_id uuid not null,
  offer_id uuid not null,
  unit_code text not null,
  need_quantity numeric(18,6) not null,
  pack_code text not null,
  pack_content numeric(18,6) not null,
  pack_count integer not null,
  ordered_quantity numeric(18,6) not null,
  rounding_quantity numeric(18,6) not null,
  price_per_pack numeric(20,6) not null,
  amount numeric(18,4) not null,
  constraint purchase_order_line_pkey primary key (organisation_id, id),
  constraint purchase_order_line_order_id_fkey foreign key (organisation_id, order_id) references purchase_order (organisation_id, id),
  constraint purchase_order_line_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint purchase_order_line_offer_id_fkey foreign key (organisation_id, offer_id) references offer (organisation_id, id),
  constraint purchase_order_line_material_key unique (organisation_id, order_id, material_id),
  constraint purchase_order_line_ordered_adds_up check (
    ordered_quantity = pack_count * pack_content and ordered_quantity = need_quantity + rounding_quantity and rounding_quantity >= 0)
);
select protect_tenant_table('purchase_order_line', 'append-only');

create table stock_entry (
  organisation_id uuid not null,
  id uuid not null,
  store_id uuid not null,
  material_id uuid not null,
  kind text not null,
  quantity numeric(18,6) not null,
  unit_code text not null,
  observed_on date not null,
  order_line_id uuid,
  build_id uuid,
  counterpart_store_id uuid,
  transfer_id uuid,
  document_number text not null default '',
  reason text not null default '',
  recorded_by_id uuid not null,
  recorded_at timestamptz(3) not null default now(),
  constraint stock_entry_pkey primary key (organisation_id, id),
  constraint stock_entry_store_id_fkey foreign key (organisation_id, store_id) references store (organisation_id, id),
  constraint stock_entry_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint stock_entry_order_line_id_fkey foreign key (organisation_id, order_line_id) references purchase_order_line (organisation_id, id),
  constraint stock_entry_build_id_fkey foreign key (organisation_id, build_id) references build (organisation_id, id),
  constraint stock_entry_counterpart_store_id_fkey foreign key (organisation_id, counterpart_store_id) references store (organisation_id, id),
  constraint stock_entry_recorded_by_id_fkey foreign key (organisation_id, recorded_by_id) references person (organisation_id, id),
  constraint stock_entry_kind_known check (kind in ('receive', 'issue', 'return', 'transfer-out', 'transfer-in', 'write-off', 'count')),
  constraint stock_entry_sign check (
    (kind in ('receive', 'return', 'transfer-in') and quantity > 0)
    or (kind in ('issue', 'transfer-out', 'write-off') and quantity < 0)
    or kind = 'count'),
  constraint stock_entry_issue_names_build check (kind <> 'issue' or build_id is not null)
);
create index stock_entry_card_idx on stock_entry (organisation_id, store_id, material_id, recorded_at, id);
create index stock_entry_build_id_idx on stock_entry (organisation_id, build_id);
create index stock_entry_order_line_id_idx on stock_entry (organisation_id, order_line_id);
select protect_tenant_table('stock_entry', 'append-only');

create table stock_balance (
  organisation_id uuid not null,
  store_id uuid not null,
  material_id uuid not null,
  quantity numeric(18,6) not null,
  constraint stock_balance_pkey primary key (organisation_id, store_id, material_id),
  constraint stock_balance_store_id_fkey foreign key (organisation_id, store_id) references store (organisation_id, id),
  constraint stock_balance_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint stock_balance_not_negative check (quantity >= 0)
);
select protect_tenant_table('stock_balance', 'editable');

-- The balance is the sum of the entries because nothing else writes it; the row lock serialises two last issues.
create function post_stock_entry() returns trigger language plpgsql as $$
begin
  update stock_balance set quantity = quantity + new.quantity
    where organisation_id = new.organisation_id and store_id = new.store_id and material_id = new.material_id;
  if not found then
    insert into stock_balance (organisation_id, store_id, material_id, quantity)
      values (new.organisation_id, new.store_id, new.material_id, new.quantity)
      on conflict on constraint stock_balance_pkey do update set quantity = stock_balance.quantity + excluded.quantity;
  end if;
  return new;
end $$;
create trigger stock_entry_posts_balance after insert on stock_entry
  for each row execute function post_stock_entry();
