"""The rows of the car's path, one file a noun."""

from jobs.additions.models import Addition, MenuWork
from jobs.air.models import HeatCheck, OrderAir, OrderPrepUse
from jobs.bookings.models import Booking, BookingPanel, Coverage
from jobs.checks.models import (
    Checklist,
    ChecklistAnswer,
    ChecklistPhoto,
    ChecklistVersion,
    OrderChecklist,
)
from jobs.condition.agreement_models import Agreement
from jobs.condition.models import Defect, FinalLook, Mark, PaintReading, PanelLook
from jobs.coverage.models import MeasuredPanel, PanelAllowance
from jobs.crews.models import Absence, Shift
from jobs.cure.models import CureTable
from jobs.customers.models import Customer, CustomerLink, Vehicle
from jobs.estimates.models import (
    CustomerEstimate,
    EstimateAcceptance,
    EstimateChoice,
    EstimateEvent,
    EstimateLine,
    EstimatePanel,
    EstimateRule,
    EstimateVersion,
    EstimateWork,
)
from jobs.feeds.models import CalendarFeed
from jobs.film.models import (
    Film,
    FilmMovement,
    FilmOrder,
    FilmReservation,
    FilmShortage,
    OffCut,
    Roll,
)
from jobs.handover.models import Recheck
from jobs.invoices.models import Invoice, InvoiceLine
from jobs.mail.models import Mail, MailRule, MailWords
from jobs.money.models import PAID_BY, Discount, Payment, Receipt, TaxRule
from jobs.package_hours.models import PackageHours
from jobs.papers.models import Paper
from jobs.plan.models import BayPlan, CarWish, Forecast, PlanRule
from jobs.prices.models import PriceChange
from jobs.promises.models import PromiseCheck
from jobs.public.models import CustomerReport
from jobs.pulls.models import CutPlan, Pull
from jobs.returns.models import ReturnVisit
from jobs.search.models import SearchKey
from jobs.supplies.models import Supply
from jobs.workorders.event_models import BookingEvent, Override, WorkOrderEvent
from jobs.workorders.models import (
    AddedWork,
    OrderBatch,
    OrderPanel,
    OrderReading,
    OrderSheet,
    OrderSolution,
    WorkOrder,
)

__all__ = [
    "Mail",
    "MailRule",
    "MailWords",
    "SearchKey",
    "Shift",
    "PlanRule",
    "PackageHours",
    "Forecast",
    "CarWish",
    "CalendarFeed",
    "BayPlan",
    "Absence",
    "PriceChange",
    "PAID_BY",
    "AddedWork",
    "Addition",
    "MenuWork",
    "Agreement",
    "Booking",
    "BookingEvent",
    "BookingPanel",
    "Checklist",
    "ChecklistAnswer",
    "ChecklistPhoto",
    "ChecklistVersion",
    "Coverage",
    "CureTable",
    "Customer",
    "CustomerEstimate",
    "CustomerLink",
    "CustomerReport",
    "CutPlan",
    "Defect",
    "EstimateAcceptance",
    "EstimateChoice",
    "EstimateEvent",
    "EstimateLine",
    "EstimatePanel",
    "EstimateRule",
    "EstimateVersion",
    "EstimateWork",
    "Film",
    "FilmMovement",
    "FilmOrder",
    "FilmReservation",
    "FilmShortage",
    "FinalLook",
    "Discount",
    "Invoice",
    "InvoiceLine",
    "Receipt",
    "HeatCheck",
    "Mark",
    "MeasuredPanel",
    "OffCut",
    "OrderAir",
    "OrderBatch",
    "OrderChecklist",
    "OrderPanel",
    "OrderPrepUse",
    "OrderReading",
    "OrderSheet",
    "OrderSolution",
    "Override",
    "PaintReading",
    "PanelAllowance",
    "PanelLook",
    "Paper",
    "Payment",
    "PromiseCheck",
    "Pull",
    "Recheck",
    "ReturnVisit",
    "Roll",
    "Supply",
    "TaxRule",
    "Vehicle",
    "WorkOrder",
    "WorkOrderEvent",
]
