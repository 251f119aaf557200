"""The history of an order in words (pure): what each kind of event says.

A pattern names the facts that it needs; an event without them falls back to its
own name and facts, so that an old or a new kind of event is never lost.
"""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "arrived": "Car taken in",
    "crew": "Crew: {people}",
    "placed": "Moved to {bay}{place}",
    "promised": "Promised for {now_for} instead of {was_for}. {because}",
    "promise_doubted": "The promised time will not hold. {because}",
    "promise_told": "The customer was told {now_for} instead of {was_for}",
    "promise_kept": "The promised time holds after all: {now_for}",
    "paused": "Paused: {because}",
    "resumed": "Went on",
    "stage": "From {came_from} to {went_to}",
    "redo": "Back to install for a redo of the {panel}: round {round}",
    "redo_undone": "No new film after all: {panel}",
    "checked": "Checked: {item}",
    "unchecked": "Taken back: {item}",
    "photo_taken_away": "Photo taken away: {item}",
    "mark": "Mark on the {panel}: {kind}",
    "marks_approved": "Marks approved, {how}",
    "marks_declined": "The customer said no to film over a mark. {because}",
    "walk_round_agreed": "Drop-off agreed, {how}",
    "paint_read": "Paint on the {panel}: {thickness_um} µm",
    "reading": "Read: air {air_c} °C, humidity {rh_pct} %, panel {panel_c} °C",
    "sheet": "Mixing sheet {version}",
    "mixed": "Mixed {kind}: batch {batch}",
    "batch_taken": "Took batch {batch} of {kind}",
    "topped_up": "Topped up from batch {batch}",
    "solution_not_needed": "{kind} not needed",
    "pull_planned": "Pull planned",
    "pull_improved": "A shorter pull was found",
    "pull_set_aside": "The shared pull was put aside by {because_of}",
    "pull_dropped": "The planned pull was put aside",
    "film_pulled": "Film taken: {length_mm} from {rolls}",
    "roll_ended": "Roll {rolls} ended",
    "film_returned": "Film wound back: {length_mm}",
    "offcut_used": "Off-cut used: {offcut}",
    "panel_ready": "Ready for film: {panel}",
    "panels_ready": "Ready for film: {panels}",
    "panel_not_ready": "Not ready after all: {panel}",
    "panel_laid": "Laid: {panel}",
    "laid_past_its_time": "Laid with a bottle past its time: {code}, {batches}",
    "panel_laid_undone": "Not laid after all: {panel}",
    "panel_looked_at": "Looked at: {panel}",
    "panels_looked_at": "Looked at: {panels}",
    "panel_look_undone": "Not looked at after all: {panel}",
    "panel_struck_off": "Struck off: {panel}, {because}",
    "panel_put_back": "Put back: {panel}",
    "panel_measured": "Measured: {panel}",
    "defect": "Defect on the {panel}: {kind}",
    "defect_touched_up": "Touched up: {panel}",
    "defect_watch": "To be watched: {panel}",
    "defect_accepted": "Accepted on the {panel}: {note}",
    "final_look": "Final look: {outcome}",
    "booked": "Booked",
    "booked_from_estimate": "From estimate {estimate}",
    "estimate_made": "Estimate made",
    "estimate_changed": "Changed: version {version}",
    "estimate_sent": "Version {version} sent: {how}",
    "estimate_printed": "Version {version} printed",
    "estimate_accepted": "Version {version} accepted {how}: {package}, {amount}",
    "estimate_ended": "Put away. {because}",
    "estimate_booked": "Booked",
    "confirmation_printed": "Confirmation printed",
    "booking_changed": "Changed: {changed}",
    "booking_cancelled": "Cancelled. {because} {deposit}",
    "merged": "Put together with its duplicate: {what}",
    "booking_restored": "The cancelling was taken back: booked again",
    "deposit_paid": "Deposit paid: {amount} by {how}",
    "payment_reversed": "Payment taken back: {amount}. {because}",
    "paid": "Paid {amount} by {how}",
    "discount_given": "Discount: {amount} less. {because}",
    "discount_ended": "Discount taken back: {amount}",
    "invoiced": "Invoice {number}: {amount}",
    "invoice_reversed": "Invoice {number} reversed by {by_number}. {because}",
    "planned": "Film work planned for {now_for}, {bay}: {people}",
    "plan_fixed": "Fixed for the plan: {film_day} {film_half} {bay} {people} {first}",
    "handed_over": "Handed over, agreed {how}",
    "paper_asked": "Paper asked for: {kind}",
    "paper_again": "Paper asked for again: {kind}",
    "paper_issued": "Paper issued: {kind}",
    "link_made": "Customer's link made",
    "link_revoked": "Customer's link ended",
    "work_added": "Work added",
    "addition_offered": "Offered: {offered}, {amount}",
    "addition_agreed": "Agreed {how}: {offered}, {amount}",
    "addition_declined": "Declined {how}: {offered} {who}",
    "addition_taken_back": "Offer taken back: {offered}",
    "work_done": "Added work done",
    "prep_none": "No prep chemical used",
    "prep_no_remover": "No remover used for the old film",
    "prep_undone": "Taken back: prep chemical {chemical}, {litres} L",
    "prep_used": "Prep chemical used: {chemical}, {litres} L",
    "heat_checked": "Looked round {bay} before hot tools",
    "report_sent": "The customer wrote that something looks wrong",
    "report_settled": "What the customer wrote was seen to",
    "film_registered": "Film registered as {number}",
    "mail_sent": "Mailed: {kind}",
    "texted": "Text message: {kind}",
    "mail_refused": "Mail not sent: {kind}. {because}",
    "mail_unsure": "Mail perhaps sent: {kind}. {because}",
    "mail_dropped": "Mail left out: {kind}. {because}",
    "recheck_asked": "The customer asked for a recheck",
    "recheck_booked": "Recheck booked",
    "recheck_found": "Recheck: {outcome}",
    "return_booked": "To come back {now_for}: {faults}",
    "came_back": "Return visit {order} of {old}: {faults}",
    "return_fault": "One more thing on the return visit: {faults}",
    "return_settled": "{faults}: {outcome}",
    "return_payer": "Of the return visit {payer} pays: {amount}",
}


def sentence_of(what: str, facts: Mapping[str, str]) -> str | None:
    """The event in words, or None where a fact of its pattern is missing.

    facts  the event's facts as words: names in place of keys
    """
    pattern = WORDS.get(what)
    if pattern is None:
        return None
    known = {"bay": "", "place": "", "because": ""} | dict(facts)
    try:
        return pattern.format(**known).strip()
    except KeyError:
        return None
