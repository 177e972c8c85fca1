-- Entries of one issue slip belong together; what a lot's trace asks for is found by index.

alter table stock_entry add column issue_id uuid;
create index stock_entry_issue_id_idx on stock_entry (organisation_id, issue_id) where issue_id is not null;
create index stock_dispatch_line_lot_id_idx on stock_dispatch_line (organisation_id, lot_id) where lot_id is not null;
create index stock_lot_balance_lot_id_idx on stock_lot_balance (organisation_id, lot_id);
create index corrective_action_finding_id_idx on corrective_action (organisation_id, finding_id);
