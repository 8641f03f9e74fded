"""The one loop: hear, understand, advance, record, show, speak."""
