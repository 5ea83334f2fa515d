"""Where each item is and who has it: places, sightings, and giving things back. Imports papers and below."""
