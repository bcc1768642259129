"""One module a skill; each sets `TOPICS`. A topic added there is a topic added."""
