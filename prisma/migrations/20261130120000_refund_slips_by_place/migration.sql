-- Each claim of a list is held against the slips of its machine at its place: without an index each reads all slips of the operator.
CREATE INDEX refund_slip_by_placement ON refund_slip (tenant_id, placement_id, refunded_on);
