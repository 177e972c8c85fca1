/**
 * The privacy register: every column of every table has a class, and a test compares this file with
 * the migrated database in both directions. To add a column, put its name under its class; to add a
 * table, add a line. Think twice before P2, and put personal data into the tables that have them.
 *
 * P0  public: names and places of villages, what materials and tanks are.
 * P1  internal: plans, progress, money, and free text, in which people are asked not to name anybody.
 * P2  personal: names, addresses, exact places of homes, credentials, pictures, copies of requests.
 * P3  sensitive: health, belief, vulnerability. None is collected, and a column of it fails the test.
 */
export type PrivacyClass = 'P0' | 'P1' | 'P2' | 'P3';

type ClassedColumns = Readonly<Partial<Record<PrivacyClass, string>>>;

const DOCUMENT = 'organisation_id id version created_at updated_at';

/** Columns by class, separated by spaces. */
export const PRIVACY_CLASSES: Readonly<Record<string, ClassedColumns>> = {
  _prisma_migrations: {
    P1: 'id checksum finished_at migration_name logs rolled_back_at started_at applied_steps_count',
  },
  account: {
    P1: 'id password_changed_at disabled_at created_at',
    P2: 'email password_hash',
  },
  api_token: {
    P1: 'organisation_id id account_id person_id name created_at expires_at last_used_at revoked_at',
    P2: 'token_hash ending',
  },
  attachment: {
    P1: 'organisation_id id noun record_id file_name media_type byte_count sha256 taken_on caption uploaded_by_id created_at',
  },
  attachment_content: { P1: 'organisation_id id', P2: 'content' },
  audit_entry: {
    P1: 'organisation_id id recorded_at person_id request_id action noun record_id',
    P2: 'detail',
  },
  bill_line: {
    P1: 'organisation_id build_id line_code position stage_code part material_id unit_code net_quantity waste_ratio with_waste_quantity offer_id unit_rate currency amount is_in_kind',
  },
  budget_line: { P1: `${DOCUMENT} grant_id code title amount` },
  build: {
    P1: `${DOCUMENT} programme_id site_id village_id design_revision_id tank_kind_id crew_id code planned_start_on priced_on cancelled_on status percent_complete current_stage_code started_on handed_over_on earliest_start_on due_on`,
  },
  build_grant_share: { P1: 'organisation_id build_id grant_id share_ratio' },
  build_stage_standing: { P1: 'organisation_id build_id stage_code since_on until_on status' },
  change_log: {
    P1: 'organisation_id noun record_id build_id version transaction_number position changed_at',
  },
  contribution_record: {
    P1: 'organisation_id id contribution_id quantity observed_on evidence reverses_id cost_entry_id recorded_by_id recorded_at',
  },
  contribution_waiver: {
    P1: 'organisation_id id contribution_id waived_on reason waived_by_id recorded_at',
  },
  corrective_action: {
    P1: `${DOCUMENT} finding_id description due_on assigned_to_id closed_on closed_by_id closing_note`,
  },
  cost_entry: {
    P1: 'organisation_id id programme_id grant_id budget_line_id build_id order_id state funding occurred_on description evidence amount currency grant_amount grant_currency rate rate_on rate_source reverses_id recorded_by_id recorded_at invoice_id receipt_id follows_order',
  },
  calendar_feed: {
    P1: 'organisation_id id crew_id created_by_id created_at revoked_at',
    P2: 'token_sha256',
  },
  crew: {
    P1: `${DOCUMENT} programme_id code name size home_village_id trades available_from available_until absences tanks_built practised_after_tanks learning_ratio`,
  },
  delivery_note: {
    P1: 'organisation_id id order_id note_number dispatched_on dispatched_from transporter vehicle remarks recorded_by_id recorded_at',
  },
  delivery_note_line: {
    P1: 'organisation_id id delivery_note_id order_line_id dispatched_quantity',
  },
  delivery_offer: {
    P1: 'organisation_id id supplier_id village_id cost_per_trip cost_per_km road_km payload_kg delivery_weekdays currency valid_from valid_until withdrawn_on created_at',
  },
  design_approval: {
    P1: 'organisation_id design_revision_id decision engineer_id decided_at',
    P2: 'engineer_name registration_number',
  },
  design_decision: {
    P1: 'organisation_id id design_revision_id decision engineer_id remarks decided_at',
    P2: 'engineer_name registration_number',
  },
  design_revision: {
    P1: 'organisation_id id design_id revision_number engine_version input result take_off outcome capacity_l created_by_id created_at',
  },
  donor: { P1: `${DOCUMENT} code name` },
  equipment_set: { P1: `${DOCUMENT} programme_id code name unit_count` },
  exchange_rate: {
    P1: 'organisation_id id from_currency to_currency rate rate_on source created_at',
  },
  finding: {
    P1: 'organisation_id id inspection_id part severity description measured_value measured_unit',
  },
  goods_receipt: {
    P1: 'organisation_id id order_id delivery_note_id store_id receipt_number received_on is_signed_by_driver remarks received_by_id recorded_at',
  },
  goods_receipt_line: {
    P1: 'organisation_id id receipt_id order_line_id dispatched_quantity good_quantity damaged_quantity missing_quantity excess_quantity remarks',
  },
  grant_agreement: {
    P1: `${DOCUMENT} programme_id donor_id code title currency amount starts_on ends_on rate_policy restrictions`,
  },
  idempotency_key: {
    P1: 'organisation_id person_id key request_hash status headers created_at',
    P2: 'body',
  },
  inspection: {
    P1: 'organisation_id id build_id kind inspected_on inspector_id condition water_depth_m watertightness sanitary_answers note recorded_at',
  },
  invitation: {
    P1: 'organisation_id id person_id invited_by_id created_at expires_at accepted_at',
    P2: 'token_hash',
  },
  job: {
    P1: 'organisation_id id kind state input progress_done progress_total result error requested_by_id created_at started_at finished_at cancel_requested_at attempt',
  },
  lot_recall: {
    P1: 'organisation_id id lot_id recalled_on reason lifts_id recorded_by_id recorded_at',
  },
  lot_test: {
    P1: 'organisation_id id lot_id tested_on outcome usable_until method evidence tested_by_id recorded_at',
  },
  material: {
    P0: 'code name category unit_code mass_kg_per_unit storage_m2_per_unit shelf_life_days lot_identity',
    P1: DOCUMENT,
  },
  material_import: {
    P1: 'organisation_id id kind mode file_name file_sha256 row_count error_count created_count updated_count unchanged_count plan_hash state errors requested_by_id created_at',
  },
  nonconformity: {
    P1: 'organisation_id build_id record_id stage_code kind check_code observed_on detail state decision decided_on decided_by_id due_on cause',
  },
  offer: {
    P1: 'organisation_id id supplier_id material_id pack_code pack_content price_per_pack currency minimum_packs lead_days valid_from valid_until withdrawn_on created_at maximum_packs order_cost price_breaks break_rule',
  },
  order_amendment: {
    P1: 'organisation_id id order_id amendment_number amended_on reason changes amount_before amount_after amended_by_id recorded_at',
  },
  order_decision: {
    P1: 'organisation_id id order_id decision order_version amount currency remarks requested_by_id decided_by_id decided_at',
  },
  order_plan: {
    P1: 'organisation_id id programme_id code priced_on build_count currency total_amount rounded_per_tank_amount unserved comparison created_by_id created_at',
  },
  order_plan_build: { P1: 'organisation_id order_plan_id build_id' },
  organisation: { P0: 'name', P1: 'id time_zone cursor_key created_at' },
  person: {
    P1: `${DOCUMENT} account_id roles donor_id disabled_at`,
    P2: 'name email engineer_registration_number',
  },
  programme: {
    P0: 'code name starts_on ends_on',
    P1: `${DOCUMENT} currency working_weekdays holidays target_reliability_ratio litres_per_person_per_day operating_rule first_flush_mm gutter_efficiency_ratio rains_from rains_until hold_release_days wet_day_mm move_detour_ratio move_speed_km_per_h move_packing_hours`,
  },
  programme_standard_design: { P1: 'organisation_id programme_id design_revision_id' },
  purchase_order: {
    P1: `${DOCUMENT} programme_id order_plan_id supplier_id delivery_village_id code status currency priced_on needed_by placed_on cancelled_on requisition_id supply_plan_id requested_by_id expected_on closed_on cost_shares closing_reason`,
  },
  purchase_order_line: {
    P1: 'organisation_id id order_id material_id offer_id unit_code need_quantity pack_code pack_content pack_count ordered_quantity rounding_quantity price_per_pack amount',
  },
  rain_series: {
    P0: 'starts_on ends_on daily_rain_mm missing_day_count missing_days_declared source',
    P1: 'organisation_id id station_id created_at',
  },
  rain_station: { P0: 'code name source lat_deg lon_deg', P1: DOCUMENT },
  report: {
    P1: 'organisation_id id grant_id donor_id code period_from period_until data_on engine_version content content_sha256 created_by_id frozen_at',
  },
  report_figure_record: {
    P1: 'organisation_id report_id figure_code noun record_id label contribution',
  },
  requisition: {
    P1: `${DOCUMENT} programme_id supply_plan_id code status reason requested_by_id requested_on decided_by_id decided_at decision_remarks`,
  },
  requisition_line: {
    P1: 'organisation_id id requisition_id position supply_plan_line_id material_id delivery_village_id offer_id need_quantity pack_count place_by needed_by',
  },
  safety_stock: {
    P1: 'organisation_id store_id material_id quantity',
  },
  season_forecast: {
    P1: 'organisation_id id season_plan_id job_id method sample_count seed result engine_version created_by_id created_at',
  },
  season_pin: {
    P1: 'organisation_id id programme_id build_id stage_code crew_id starts_on reason made_by_id made_at ended_at ended_by_id',
  },
  season_plan: {
    P1: 'organisation_id id programme_id job_id code purpose standing version_number based_on_id starts_on finishes_on bound_on status settings figures engine_version created_by_id created_at published_by_id published_at publication_reason superseded_at',
  },
  season_plan_stage: {
    P1: 'organisation_id season_plan_id build_id stage_code crew_id starts_on finishes_on standing is_pinned waits_for',
  },
  season_plan_value: {
    P1: 'organisation_id season_plan_id build_id stage_code amount in_kind_amount currency',
  },
  session: {
    P1: 'organisation_id id account_id person_id device_name created_at last_seen_at expires_at revoked_at',
    P2: 'token_hash',
  },
  sign_in_failure: { P1: 'failure_count last_failed_at blocked_until', P2: 'key' },
  site: {
    P1: `${DOCUMENT} programme_id village_id code kind roof_area_m2 roof_kind runoff_coefficient people_served litres_per_person_per_day demand_l_per_day ground_class agreed_on`,
  },
  site_contact: {
    P1: 'organisation_id id version consent_given consent_on photo_consent_given retain_until updated_at',
    P2: 'contact_name phone lat_deg lon_deg',
  },
  site_import: {
    P1: 'organisation_id id programme_id mode file_name file_sha256 row_count error_count created_count updated_count unchanged_count plan_hash state errors requested_by_id created_at',
  },
  site_sizing: {
    P1: 'organisation_id id job_id programme_id site_id rain_series_id engine_version design_revision_id refusal demand_l_per_day mean_annual_runoff_l volumetric_reliability_ratio days_met_ratio mean_yield_l_per_day dry_months candidates is_latest created_at',
  },
  stage_record: {
    P1: 'organisation_id id build_id stage_code kind observed_on check_code measured_value reason note device_recorded_at recorded_by_id recorded_at crew_id people_count person_hours quantities decision decides_record_id cause due_on',
  },
  stock_arrival: {
    P1: 'organisation_id id dispatch_id arrived_on remarks received_by_id recorded_at',
  },
  stock_arrival_line: {
    P1: 'organisation_id arrival_id dispatch_line_id dispatched_quantity good_quantity damaged_quantity missing_quantity excess_quantity remarks',
  },
  stock_balance: { P1: 'organisation_id store_id material_id quantity' },
  stock_dispatch: {
    P1: 'organisation_id id from_store_id to_store_id note_number dispatched_on vehicle reason dispatched_by_id recorded_at',
  },
  stock_dispatch_line: {
    P1: 'organisation_id id dispatch_id material_id lot_id unit_code dispatched_quantity',
  },
  stock_entry: {
    P1: 'organisation_id id store_id material_id kind quantity unit_code observed_on order_line_id build_id counterpart_store_id transfer_id document_number reason recorded_by_id recorded_at lot_id stage_code receipt_line_id dispatch_line_id write_off_request_id issue_id',
  },
  stock_lot: {
    P1: 'organisation_id id material_id code supplier_id manufactured_on expires_on certificate_number treated_on remarks recorded_by_id recorded_at',
  },
  stock_lot_balance: {
    P1: 'organisation_id store_id material_id lot_id quantity',
  },
  store: { P0: 'name place lat_deg lon_deg', P1: `${DOCUMENT} code village_id floor_area_m2` },
  supplier: { P0: 'name place', P1: `${DOCUMENT} code` },
  supplier_claim: {
    P1: `${DOCUMENT} code order_id receipt_line_id kind quantity amount currency status claimed_on settled_on settlement_note credited_amount raised_by_id`,
  },
  supplier_invoice: {
    P1: `${DOCUMENT} order_id supplier_id invoice_number invoiced_on due_on currency amount other_charges_amount status match_findings release_reason recorded_by_id released_by_id released_at paid_on`,
  },
  supplier_invoice_line: {
    P1: 'organisation_id id invoice_id order_line_id invoiced_quantity price_per_pack amount',
  },
  supply_plan: {
    P1: 'organisation_id id programme_id job_id code starts_on period_count period_days priced_on currency engine_version status total_amount lower_bound_amount gap_ratio solver_time_s replans_id settings needs_digest comparison shortfalls decomposition cost_parts created_by_id created_at',
  },
  supply_plan_line: {
    P1: 'organisation_id id supply_plan_id position supplier_id offer_id material_id delivery_village_id unit_code place_by arrives_on pack_code pack_content pack_count quantity price_per_pack amount covers explanation',
  },
  tank_design: { P1: `${DOCUMENT} tank_kind_id code name` },
  tank_kind: { P0: 'code name recipe stages', P1: DOCUMENT },
  village: {
    P0: 'code name district lat_deg lon_deg',
    P1: `${DOCUMENT} reachable_months rain_station_id no_work_weekdays`,
  },
  village_contribution: {
    P1: `${DOCUMENT} programme_id village_id material_id agreed_quantity unit_code valuation_rule unit_rate currency agreed_on due_on gates_dispatch evidence ended_on`,
  },
  village_road: { P0: 'road_km', P1: 'organisation_id village_id store_id' },
  write_off_decision: {
    P1: 'organisation_id request_id decision remarks requested_by_id decided_by_id decided_at',
  },
  write_off_request: {
    P1: 'organisation_id id store_id material_id lot_id quantity unit_code observed_on reason document_number requested_by_id requested_at',
  },
};

/** One class a column, or the class `undefined` for a column that the register does not have. */
export function privacyClassOf(table: string, column: string): PrivacyClass | undefined {
  const classes = Object.entries(PRIVACY_CLASSES[table] ?? {}) as [PrivacyClass, string][];
  return classes.find(([, columns]) => columns.split(' ').includes(column))?.[0];
}
