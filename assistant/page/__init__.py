"""What a page shows of a view: plain values, from which the browser only draws."""

from assistant.page.build import page_of as page_of
from assistant.page.model import Page as Page
from assistant.page.text import text_of as text_of
