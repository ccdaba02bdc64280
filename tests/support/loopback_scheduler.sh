#!/usr/bin/env bash
# Runs a command beside a batch scheduler (Slurm) with one node that listens on loopback only, and
# stops the scheduler by the ids of its parts. Exit 77: it is not installed, or needs root.
#   loopback_scheduler.sh FOLDER COMMAND...
set -u
folder=$1
shift
export PATH=$PATH:/usr/sbin
for part in munged slurmctld slurmd sbatch sinfo; do
  command -v "$part" > /dev/null || exit 77
done
[ "$(id -u)" = 0 ] || exit 77
mkdir -p "$folder/state" "$folder/spool"
port=$((20000 + $$ % 20000))
dd if=/dev/urandom of="$folder/key" bs=1024 count=1 2> /dev/null
chmod 400 "$folder/key"
cat > "$folder/slurm.conf" << CONF
ClusterName=loopback
SlurmctldHost=$(hostname)(127.0.0.1)
AuthType=auth/munge
AuthInfo=socket=$folder/socket
SlurmUser=root
SlurmdUser=root
SlurmctldPort=$port
SlurmdPort=$((port + 1))
CommunicationParameters=NoCtldInAddrAny,NoInAddrAny
StateSaveLocation=$folder/state
SlurmdSpoolDir=$folder/spool
SlurmctldPidFile=$folder/slurmctld.pid
SlurmdPidFile=$folder/slurmd.pid
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SwitchType=switch/none
MpiDefault=none
JobAcctGatherType=jobacct_gather/none
ReturnToService=2
MailProg=/bin/true
NodeName=$(hostname) NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
CONF
export SLURM_CONF=$folder/slurm.conf
munged --force --foreground --key-file="$folder/key" --socket="$folder/socket" \
  --pid-file="$folder/munged.pid" --seed-file="$folder/seed" --log-file="$folder/munged.log" \
  > "$folder/munged.txt" 2>&1 &
parts="$!"
trap 'kill $parts 2> /dev/null; wait' EXIT
for _ in $(seq 50); do
  [ -S "$folder/socket" ] && break
  sleep 0.1
done
slurmctld -D > "$folder/slurmctld.txt" 2>&1 &
parts="$parts $!"
slurmd -D > "$folder/slurmd.txt" 2>&1 &
parts="$parts $!"
for _ in $(seq 100); do
  sinfo -h -o %T 2> /dev/null | grep -q idle && break
  sleep 0.2
done
"$@"
code=$?
exit $code
