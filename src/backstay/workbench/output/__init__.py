"""What leaves the workbench as a file: calculation, drawings, schedule, results, the project itself."""
