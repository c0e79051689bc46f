"""An open design: its file and every state of it, what may be written where, and what is worked out of it elsewhere."""
