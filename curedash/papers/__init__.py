"""Tags, dose sheets, records, calendars, export and import."""
