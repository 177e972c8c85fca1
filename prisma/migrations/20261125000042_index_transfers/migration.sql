-- A transfer that is sent again with its id is found, so that it counts once.
create index stock_entry_transfer_id_idx on stock_entry (organisation_id, transfer_id) where transfer_id is not null;
