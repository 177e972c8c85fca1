-- A photograph of the signed attendance sheet or of the sand at the road belongs to a contribution.

alter table attachment drop constraint attachment_noun_known;
alter table attachment add constraint attachment_noun_known
  check (noun in ('site', 'build', 'stage-record', 'inspection', 'order', 'cost-entry', 'contribution'));
