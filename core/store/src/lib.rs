//! Keeps documents, index rows and files of one notebook on disk.
