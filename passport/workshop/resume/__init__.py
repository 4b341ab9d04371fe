"""A rebuild under way: what was read corrects what was predicted, and the rest of the plan is solved anew."""
