"""Every text a message can print, over time, counters and inputs."""
