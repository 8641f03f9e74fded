"""The embedded demo: a made-up technician works on a made-up car through the real recogniser."""
