-- The ledger of costs follows an order from its placing on; what was recorded by hand stays as it is.

-- Who pays for the order and in what proportion, found when it is placed; null: nobody follows its costs.
alter table purchase_order add column cost_shares jsonb;
alter table purchase_order add column closing_reason text not null default '';
alter table purchase_order add constraint purchase_order_closed_whole
  check ((status = 'closed') = (closed_on is not null));

alter table cost_entry add column follows_order boolean not null default false;
alter table cost_entry add constraint cost_entry_follows_an_order check (order_id is not null or not follows_order);

-- An excess may be kept and paid for.
alter table supplier_claim drop constraint supplier_claim_status_known;
alter table supplier_claim add constraint supplier_claim_status_known
  check (status in ('open', 'credited', 'replaced', 'returned', 'bought', 'rejected'));

create index order_amendment_order_id_idx on order_amendment (organisation_id, order_id);
create index goods_receipt_recorded_idx on goods_receipt (organisation_id, received_on, id);
create index supplier_claim_order_id_idx on supplier_claim (organisation_id, order_id);
create index supplier_invoice_line_order_line_id_idx on supplier_invoice_line (organisation_id, order_line_id);
