"""The record as words on a page, the same for every document: tables of ready texts, nothing left to compute."""

from assistant.record.page.cells import UNSAID
from assistant.record.page.layout import lay_out
from assistant.record.page.model import ABREAST, LATE, WIDE, Page, Paper, Row, Table

__all__ = ["ABREAST", "LATE", "UNSAID", "WIDE", "Page", "Paper", "Row", "Table", "lay_out"]
