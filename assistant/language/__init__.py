"""Words to meaning, and reply to sentence. No audio."""
