-- What a buyer compares: breaks, limits, cost of ordering, trips; and what a material needs on the way and in store.

alter table material add column mass_kg_per_unit double precision;
alter table material add column storage_m2_per_unit double precision;
alter table material add column shelf_life_days integer;
alter table material add column lot_identity text not null default 'none';
alter table material add constraint material_mass_positive check (mass_kg_per_unit > 0);
alter table material add constraint material_storage_positive check (storage_m2_per_unit > 0);
alter table material add constraint material_shelf_life_positive check (shelf_life_days > 0);
alter table material add constraint material_lot_identity_known
  check (lot_identity in ('none', 'manufacture-date', 'treatment-certificate'));
-- The age of a lot counts from its manufacture, so what keeps only so long must have a lot with that date.
alter table material add constraint material_shelf_life_needs_lot
  check (shelf_life_days is null or lot_identity = 'manufacture-date');

alter table store add column village_id uuid;
alter table store add column floor_area_m2 double precision;
alter table store add constraint store_village_id_fkey
  foreign key (organisation_id, village_id) references village (organisation_id, id);
alter table store add constraint store_floor_area_positive check (floor_area_m2 > 0);

alter table offer add column maximum_packs integer;
alter table offer add column order_cost numeric(20,6) not null default 0;
alter table offer add column price_breaks jsonb not null default '[]';
alter table offer add column break_rule text;
alter table offer add constraint offer_maximum_not_below_minimum check (maximum_packs >= minimum_packs);
alter table offer add constraint offer_order_cost_not_negative check (order_cost >= 0);
alter table offer add constraint offer_break_rule_known check (break_rule in ('all-units', 'incremental'));
alter table offer add constraint offer_breaks_have_rule
  check ((jsonb_array_length(price_breaks) > 0) = (break_rule is not null));

-- What a supplier asks for a trip to a village; several materials of one supplier share a trip.
create table delivery_offer (
  organisation_id uuid not null,
  id uuid not null,
  supplier_id uuid not null,
  village_id uuid not null,
  cost_per_trip numeric(20,6) not null,
  cost_per_km numeric(20,6) not null default 0,
  road_km double precision not null default 0,
  payload_kg double precision not null,
  delivery_weekdays integer[] not null default '{1,2,3,4,5,6,7}',
  currency char(3) not null,
  valid_from date not null,
  valid_until date not null,
  withdrawn_on date,
  created_at timestamptz(3) not null default now(),
  constraint delivery_offer_pkey primary key (organisation_id, id),
  constraint delivery_offer_supplier_id_fkey foreign key (organisation_id, supplier_id) references supplier (organisation_id, id),
  constraint delivery_offer_village_id_fkey foreign key (organisation_id, village_id) references village (organisation_id, id),
  constraint delivery_offer_costs_not_negative check (cost_per_trip >= 0 and cost_per_km >= 0 and road_km >= 0),
  constraint delivery_offer_payload_positive check (payload_kg > 0),
  constraint delivery_offer_weekdays_in_range check (
    cardinality(delivery_weekdays) > 0 and delivery_weekdays <@ array[1,2,3,4,5,6,7]),
  constraint delivery_offer_dates_in_order check (valid_until >= valid_from)
);
create index delivery_offer_supplier_id_idx on delivery_offer (organisation_id, supplier_id, village_id, valid_from);
select protect_tenant_table('delivery_offer', 'editable');

create table safety_stock (
  organisation_id uuid not null,
  store_id uuid not null,
  material_id uuid not null,
  quantity numeric(18,6) not null,
  constraint safety_stock_pkey primary key (organisation_id, store_id, material_id),
  constraint safety_stock_store_id_fkey foreign key (organisation_id, store_id) references store (organisation_id, id),
  constraint safety_stock_material_id_fkey foreign key (organisation_id, material_id) references material (organisation_id, id),
  constraint safety_stock_positive check (quantity > 0)
);
select protect_tenant_table('safety_stock', 'replaceable');
