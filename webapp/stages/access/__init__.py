"""Who is let in over the workshop's network: passwords, devices, pairing codes, attempts."""
