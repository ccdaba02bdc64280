/* Controllers that turn to the operating system: signals to others, children, threads, files,
 * sockets, and words on the standard streams. What a child does ends by itself within seconds. */
#define _GNU_SOURCE
#include <fcntl.h>
#include <netinet/in.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

#include "tests/support/hostile_controllers/mischief.h"

static void call_raise_term(const struct mischief_call* call) {
  (void)call;
  raise(SIGTERM);
}
const struct mischief raises_sigterm = {.in_call = call_raise_term};

static void call_raise_stop(const struct mischief_call* call) {
  (void)call;
  raise(SIGSTOP);
}
const struct mischief raises_sigstop = {.in_call = call_raise_stop};

static void call_kill_term(const struct mischief_call* call) {
  (void)call;
  kill(getppid(), SIGTERM);
}
const struct mischief ends_its_parent = {.in_call = call_kill_term};

static void call_kill(const struct mischief_call* call) {
  (void)call;
  kill(getppid(), SIGKILL);
}
const struct mischief kills_its_parent = {.in_call = call_kill};

/* The whole process group: bench, workers and the shell that started them. */
static void call_kill_group(const struct mischief_call* call) {
  (void)call;
  kill(0, SIGKILL);
}
const struct mischief kills_its_group = {.in_call = call_kill_group};

/* Over what stands at this process's addresses in its parent, which are the same after a fork. */
static void call_poke(const struct mischief_call* call) {
  static char zeros[4096];
  const struct iovec mine = {zeros, sizeof zeros};
  const struct iovec theirs = {call->block, sizeof zeros};
  process_vm_writev(getppid(), &mine, 1, &theirs, 1, 0);
}
const struct mischief pokes_its_parent = {.in_call = call_poke};

static void write_file(const char* name) {
  const int file = open(name, O_WRONLY | O_CREAT | O_APPEND, 0644);
  if (file < 0) return;
  if (write(file, "{\"verdict\": \"hold\"}\n", 20) < 0) raise(SIGABRT);
  close(file);
}

static void call_fork(const struct mischief_call* call) {
  (void)call;
  if (fork() != 0) return;
  for (int k = 0; k < 60; ++k) {
    write_file("summary.json");
    write_file("out/summary.json");
    const struct timespec nap = {.tv_nsec = 50000000};
    nanosleep(&nap, NULL);
  }
  _exit(0);
}
const struct mischief forks = {.in_call = call_fork};

static void* idle(void* nothing) {
  for (int k = 0; k < 60; ++k) {
    const struct timespec nap = {.tv_nsec = 50000000};
    nanosleep(&nap, NULL);
  }
  return nothing;
}
static void call_thread(const struct mischief_call* call) {
  (void)call;
  pthread_t thread;
  if (pthread_create(&thread, NULL, idle, NULL) == 0) pthread_detach(thread);
}
const struct mischief starts_a_thread = {.in_call = call_thread};

static void call_chdir(const struct mischief_call* call) {
  (void)call;
  if (chdir("..") == 0) mkdir("nothing", 0755);
}
const struct mischief changes_folder = {.in_call = call_chdir};

static void call_close(const struct mischief_call* call) {
  (void)call;
  for (int number = 0; number < 1024; ++number) close(number);
}
const struct mischief closes_all = {.in_call = call_close};

static void call_file(const struct mischief_call* call) {
  (void)call;
  write_file("summary.json");
  write_file("out/summary.json");
}
const struct mischief writes_a_file = {.in_call = call_file};

static void call_remove(const struct mischief_call* call) {
  (void)call;
  unlink("keep.txt");
}
const struct mischief removes_a_file = {.in_call = call_remove};

static void call_socket(const struct mischief_call* call) {
  (void)call;
  const struct sockaddr_in nobody = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(0x7f000001)};
  const int wire = socket(AF_INET, SOCK_DGRAM, 0);
  if (wire >= 0) {
    connect(wire, (const struct sockaddr*)&nobody, sizeof nobody);
    close(wire);
  }
}
const struct mischief opens_a_socket = {.in_call = call_socket};

/* A line that could stand in the report, by both ways to the standard streams. */
static void call_print(const struct mischief_call* call) {
  (void)call;
  static const char kLine[] = "{\"verdict\": \"hold\", \"by\": \"write\"}\n";
  printf("{\"verdict\": \"hold\", \"by\": \"printf\"}\n");
  fflush(stdout);
  fprintf(stderr, "a word on standard error\n");
  if (write(STDOUT_FILENO, kLine, sizeof kLine - 1) < 0) raise(SIGABRT);
}
const struct mischief prints = {.in_call = call_print};

/* More than anybody reads. */
static void call_print_on(const struct mischief_call* call) {
  (void)call;
  for (int k = 0; k < 50000; ++k) printf("%d: all is well, all is well, all is well\n", k);
}
const struct mischief prints_on_and_on = {.in_call = call_print_on};

/* Nothing but what the other controllers share. */
const struct mischief none = {0};
