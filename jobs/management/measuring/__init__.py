"""Figures of speed as ratios and counts, each against a yardstick of the same run."""
