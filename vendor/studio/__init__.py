"""The home page, the first run, the studio's settings page and the backup."""
