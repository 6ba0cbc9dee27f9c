"""Papers of the office: prices of a job, and the folder of all jobs. They stand on whole builds, not on drawings."""
