"""One file a topic; each sets `TOPIC`. A file added here is a topic added."""
