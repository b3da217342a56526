"""Who can hear whom."""
