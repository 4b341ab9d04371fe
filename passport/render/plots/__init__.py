"""Plots for the bench, drawn by matplotlib; no page or card of the site imports this."""
