"""The trainer's kit: today's exercises, notes, parameter sheets, the site, slates, hands."""
