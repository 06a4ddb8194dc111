"""Issuing papers, one, several at once, or many in the background."""

from labcases.tickets.actions.issuing import (
    Batch,
    Failure,
    issue_ticket,
    issue_tickets,
    why_not_printed,
)

__all__ = ["Batch", "Failure", "issue_ticket", "issue_tickets", "why_not_printed"]
