"""The job from door to door: one Django app, cut in slices by the trade's own words. Map: DEVELOPERS.md."""
