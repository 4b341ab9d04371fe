"""Commands for frames that come from another workshop, or go to one."""
