"""Who carries tasks out: this process, several, or a cluster."""
