"""The tables of projected facts: a column for each field of the fact, in the same order."""

FACTS = """
CREATE TABLE setting (code TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
CREATE TABLE item (
  code TEXT PRIMARY KEY, name TEXT NOT NULL, item_class TEXT NOT NULL, unit TEXT NOT NULL,
  unit_places INTEGER NOT NULL, lens_model TEXT, power INTEGER, by_serial INTEGER NOT NULL,
  least_days_left INTEGER NOT NULL, controlled INTEGER NOT NULL, storage_class TEXT,
  standby INTEGER NOT NULL, service TEXT, replaces TEXT
) STRICT;
CREATE INDEX item_lens ON item (lens_model, power) WHERE lens_model IS NOT NULL;
CREATE TABLE pack_size (
  code TEXT PRIMARY KEY, item TEXT NOT NULL, level TEXT NOT NULL, units INTEGER NOT NULL
) STRICT;
CREATE INDEX pack_size_item ON pack_size (item);
CREATE TABLE supplier (code TEXT PRIMARY KEY, name TEXT NOT NULL) STRICT;
CREATE TABLE place (
  code TEXT PRIMARY KEY, name TEXT NOT NULL, kind TEXT NOT NULL, theatre TEXT,
  closed INTEGER NOT NULL, storage_class TEXT
) STRICT, WITHOUT ROWID;
CREATE TABLE category (code TEXT PRIMARY KEY, name TEXT NOT NULL) STRICT;
CREATE TABLE staff_code (
  code TEXT PRIMARY KEY, role TEXT NOT NULL, active INTEGER NOT NULL
) STRICT;
CREATE TABLE kit (
  code TEXT PRIMARY KEY, procedure TEXT NOT NULL, category TEXT NOT NULL, surgeon TEXT,
  lines TEXT NOT NULL, first_day TEXT
) STRICT;
CREATE TABLE machine (
  code TEXT PRIMARY KEY, model TEXT NOT NULL, theatre TEXT NOT NULL, first_day TEXT NOT NULL,
  last_day TEXT
) STRICT;
CREATE TABLE theatre_list (
  code TEXT PRIMARY KEY, day TEXT NOT NULL, theatre TEXT NOT NULL, part TEXT NOT NULL
) STRICT;
CREATE TABLE theatre_case (
  code TEXT PRIMARY KEY, list TEXT NOT NULL, position INTEGER NOT NULL, kind TEXT NOT NULL,
  patient TEXT, eye TEXT, procedure TEXT, category TEXT, sponsor TEXT, surgeon TEXT,
  lens_model TEXT, power INTEGER, needs TEXT NOT NULL, missing TEXT NOT NULL,
  cancelled INTEGER NOT NULL, minutes INTEGER, sponsor_number TEXT
) STRICT;
CREATE INDEX theatre_case_list ON theatre_case (list, position);
CREATE INDEX theatre_case_sponsor ON theatre_case (sponsor) WHERE sponsor IS NOT NULL;
CREATE INDEX theatre_case_patient ON theatre_case (patient) WHERE patient IS NOT NULL;
CREATE TABLE lot (
  code INTEGER PRIMARY KEY, item TEXT NOT NULL, number TEXT NOT NULL, serial TEXT,
  expires_on TEXT NOT NULL, expiry_precision TEXT NOT NULL, received_on TEXT NOT NULL,
  supplier TEXT, terms TEXT NOT NULL, quantity INTEGER NOT NULL, document TEXT,
  price INTEGER, price_quantity INTEGER, provisional INTEGER NOT NULL,
  shadow_value INTEGER NOT NULL, agreed_value INTEGER NOT NULL,
  categories TEXT NOT NULL, sponsors TEXT NOT NULL, order_code TEXT,
  scan TEXT
) STRICT;
CREATE INDEX lot_item ON lot (item);
CREATE INDEX lot_number ON lot (number);
CREATE INDEX lot_serial ON lot (serial) WHERE serial IS NOT NULL;
CREATE INDEX lot_provisional ON lot (code) WHERE provisional = 1;
CREATE INDEX lot_order ON lot (order_code) WHERE order_code IS NOT NULL;
CREATE TABLE supply_terms (
  code TEXT PRIMARY KEY, supplier TEXT NOT NULL, item TEXT NOT NULL,
  pack_quantity INTEGER NOT NULL, price INTEGER NOT NULL, price_quantity INTEGER NOT NULL,
  lead_days INTEGER NOT NULL, least_quantity INTEGER NOT NULL, breaks TEXT NOT NULL,
  preferred INTEGER NOT NULL
) STRICT;
CREATE TABLE purchase_order (
  code TEXT PRIMARY KEY, supplier TEXT NOT NULL, ordered_on TEXT NOT NULL, due_on TEXT NOT NULL,
  lines TEXT NOT NULL, state TEXT NOT NULL
) STRICT;
CREATE TABLE rejection (
  code TEXT PRIMARY KEY, supplier TEXT NOT NULL, reason TEXT NOT NULL, quantity INTEGER NOT NULL,
  item TEXT, identifier TEXT, number TEXT, serial TEXT, expires_on TEXT, order_code TEXT, scan TEXT
) STRICT;
CREATE INDEX rejection_supplier ON rejection (supplier);
CREATE TABLE quarantine (
  code TEXT PRIMARY KEY, reason TEXT NOT NULL, started_on TEXT NOT NULL, item TEXT, number TEXT,
  serial TEXT, supplier TEXT, expires_from TEXT, expires_through TEXT, place TEXT,
  released INTEGER NOT NULL
) STRICT;
CREATE TABLE period (
  code TEXT PRIMARY KEY, first_day TEXT NOT NULL, last_day TEXT NOT NULL, closed INTEGER NOT NULL,
  number INTEGER NOT NULL, statement TEXT
) STRICT;
CREATE TABLE level (
  code TEXT PRIMARY KEY, place TEXT NOT NULL, item TEXT NOT NULL, keep_at_least INTEGER NOT NULL,
  fill_to INTEGER NOT NULL, lists INTEGER NOT NULL
) STRICT;
CREATE TABLE shelf (
  code TEXT PRIMARY KEY, place TEXT NOT NULL, item TEXT NOT NULL, label TEXT NOT NULL
) STRICT;
CREATE TABLE past_use (
  code TEXT PRIMARY KEY, item TEXT NOT NULL, month TEXT NOT NULL, quantity INTEGER NOT NULL
) STRICT;
CREATE TABLE judged_use (
  code TEXT PRIMARY KEY, item TEXT NOT NULL, week TEXT NOT NULL, usual INTEGER NOT NULL
) STRICT;
CREATE TABLE invoice (
  code TEXT PRIMARY KEY, supplier TEXT NOT NULL, number TEXT NOT NULL, invoiced_on TEXT NOT NULL,
  lines TEXT NOT NULL, freight INTEGER NOT NULL, tax INTEGER NOT NULL, discount INTEGER NOT NULL,
  withdrawn INTEGER NOT NULL
) STRICT;
CREATE INDEX invoice_supplier ON invoice (supplier);
CREATE TABLE stated_value (
  code TEXT PRIMARY KEY, value INTEGER NOT NULL, basis TEXT NOT NULL, lots TEXT NOT NULL
) STRICT;
CREATE TABLE sponsor (
  code TEXT PRIMARY KEY, name TEXT NOT NULL, amount INTEGER, deduction INTEGER NOT NULL,
  days INTEGER
) STRICT;
CREATE TABLE claimed_case (
  code TEXT PRIMARY KEY, sponsor TEXT NOT NULL, document TEXT NOT NULL, case_code TEXT NOT NULL,
  sent_on TEXT NOT NULL, amount INTEGER NOT NULL, deduction INTEGER NOT NULL, category TEXT,
  lenses TEXT NOT NULL, state TEXT NOT NULL, paid INTEGER NOT NULL, settled_on TEXT, reason TEXT
) STRICT;
CREATE INDEX claimed_case_document ON claimed_case (document);
CREATE INDEX claimed_case_case ON claimed_case (case_code);
"""
